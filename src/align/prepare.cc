// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/prepare.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "align/band.h"

namespace ohmglow::internal {
namespace {

// Mean of the finite, good pixels around `p`; grows the neighbourhood until it
// finds some. `fallback` where there are none within 8 px.
float MeanAround(const Image& frame, const Mask& good, cv::Point p, float fallback) {
  for (int reach = 1; reach <= 8; reach *= 2) {
    double sum = 0;
    int n = 0;
    for (int r = std::max(p.y - reach, 0); r <= std::min(p.y + reach, frame.rows - 1); ++r) {
      for (int c = std::max(p.x - reach, 0); c <= std::min(p.x + reach, frame.cols - 1); ++c) {
        if (good(r, c) == 0 || !std::isfinite(frame(r, c))) continue;
        sum += static_cast<double>(frame(r, c));
        ++n;
      }
    }
    if (n >= 2) return static_cast<float>(sum / n);
  }
  return fallback;
}

bool AllFinite(const Image& frame) {
  // A sum with a NaN or an infinity in it is not finite.
  return std::isfinite(cv::sum(frame)[0]);
}

}  // namespace

FramePreparer::FramePreparer(const Mask& good_pixels) : good_pixels_(good_pixels.clone()) {
  for (int r = 0; r < good_pixels_.rows; ++r) {
    for (int c = 0; c < good_pixels_.cols; ++c) {
      if (good_pixels_(r, c) == 0) bad_.emplace_back(c, r);
    }
  }
}

void FramePreparer::FillBad(Image& frame_k) const {
  for (const cv::Point& p : bad_) frame_k(p) = MeanAround(frame_k, good_pixels_, p, frame_k(p));
  if (AllFinite(frame_k)) return;
  // Saturated pixels are the hottest: where a whole region is, its rim stands in.
  float highest = 0;
  for (const float v : frame_k) highest = std::isfinite(v) ? std::max(highest, v) : highest;
  const Image seen = frame_k.clone();
  for (int r = 0; r < frame_k.rows; ++r) {
    for (int c = 0; c < frame_k.cols; ++c) {
      if (std::isfinite(seen(r, c))) continue;
      frame_k(r, c) = MeanAround(seen, good_pixels_, {c, r}, highest);
    }
  }
}

void FramePreparer::HighPass(const Image& raw_k, Image& out_k) const {
  Image smooth;
  raw_k.copyTo(out_k);
  FillBad(out_k);
  cv::boxFilter(out_k,
                smooth,
                CV_32F,
                cv::Size(kHighPassBoxPx, kHighPassBoxPx),
                cv::Point(-1, -1),
                true,
                cv::BORDER_REFLECT_101);
  cv::subtract(out_k, smooth, out_k);
}

void FramePreparer::BandPass(const Image& raw_k, Image& out_k) const {
  raw_k.copyTo(filled_);
  FillBad(filled_);
  BandOf(filled_, scratch_, out_k);
  RemoveColumnsAndRows(out_k);
}

}  // namespace ohmglow::internal
