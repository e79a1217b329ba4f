// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/padded_plane.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>

namespace ohmglow {
namespace {

// Below the logarithm of any frequency.
constexpr float kLogOfNone = -100;

// 1 within the picture, a cosine's half wave down to 0 over each pad.
std::vector<float> Fade(int size, int first, int length) {
  std::vector<float> fade(static_cast<std::size_t>(size), 1.0F);
  for (int i = 0; i < size; ++i) {
    double share = 1;
    if (i < first) share = (i + 0.5) / first;
    if (i >= first + length) share = (size - i - 0.5) / (size - first - length);
    fade[static_cast<std::size_t>(i)] =
        static_cast<float>(0.5 - 0.5 * std::cos(std::numbers::pi * share));
  }
  return fade;
}

// Where a packed entry's frequency lies along one axis, -size/2 .. size/2.
int Signed(int index, int size) { return index <= size / 2 ? index : index - size; }

}  // namespace

PaddedPlane::PaddedPlane(cv::Size picture_px, int least_pad_px)
    : size_px_(2 * cv::getOptimalDFTSize((picture_px.width + least_pad_px + 1) / 2),
               2 * cv::getOptimalDFTSize((picture_px.height + least_pad_px + 1) / 2)),
      picture_((size_px_.width - picture_px.width) / 2,
               (size_px_.height - picture_px.height) / 2,
               picture_px.width,
               picture_px.height),
      k_(size_px_),
      log_k_(size_px_),
      real_(size_px_),
      count_(size_px_),
      fade_(size_px_) {
  const int w = size_px_.width;
  const int h = size_px_.height;
  const std::vector<float> along = Fade(w, picture_.x, picture_.width);
  const std::vector<float> down = Fade(h, picture_.y, picture_.height);
  for (int y = 0; y < h; ++y) {
    for (int x = 0; x < w; ++x) {
      fade_(y, x) = along[static_cast<std::size_t>(x)] * down[static_cast<std::size_t>(y)];
      // The columns of frequency 0 and w/2 are themselves packed along y.
      const int u = (x + 1) / 2;
      const bool own = x == 0 || x == w - 1;
      const int v = own ? (y + 1) / 2 : Signed(y, h);
      const double k =
          2 * std::numbers::pi * std::hypot(static_cast<double>(u) / w, static_cast<double>(v) / h);
      k_(y, x) = static_cast<float>(k);
      log_k_(y, x) = k > 0 ? static_cast<float>(std::log(k)) : kLogOfNone;
      const int along_y = own ? y : x;
      const int last = own ? h - 1 : w - 1;
      const bool single = own && (y == 0 || y == h - 1);
      real_(y, x) = along_y == 0 || along_y == last || along_y % 2 == 1 ? 1.0F : 0.0F;
      count_(y, x) = real_(y, x) * (single ? 1.0F : 2.0F) / static_cast<float>(size_px_.area());
    }
  }
}

Image PaddedPlane::Place(const Image& picture) const {
  Image plane;
  cv::copyMakeBorder(picture,
                     plane,
                     picture_.y,
                     size_px_.height - picture_.br().y,
                     picture_.x,
                     size_px_.width - picture_.br().x,
                     cv::BORDER_REFLECT_101);
  cv::multiply(plane, fade_, plane);
  return plane;
}

void PaddedPlane::Forward(Image& plane) { cv::dft(plane, plane); }

void PaddedPlane::Backward(Image& spectrum) {
  cv::dft(spectrum, spectrum, cv::DFT_INVERSE | cv::DFT_SCALE | cv::DFT_REAL_OUTPUT);
}

Image PaddedPlane::Filter(const std::vector<float>& table, double first_k, double last_k) const {
  const auto last = static_cast<float>(table.size() - 1);
  const auto first_log = static_cast<float>(std::log(first_k));
  const float per_log = last / static_cast<float>(std::log(last_k / first_k));
  Image filter(size_px_);
  for (int y = 0; y < filter.rows; ++y) {
    const float* log_k = log_k_[y];
    float* out = filter[y];
    for (int x = 0; x < filter.cols; ++x) {
      const float at = std::clamp((log_k[x] - first_log) * per_log, 0.0F, last);
      const auto low = std::min(static_cast<std::size_t>(at), table.size() - 2);
      const float share = at - static_cast<float>(low);
      out[x] = (1 - share) * table[low] + share * table[low + 1];
    }
  }
  return filter;
}

Image PaddedPlane::PointResponse(const Image& filter) const {
  Image response;
  cv::multiply(filter, real_, response);
  Backward(response);
  return response;
}

}  // namespace ohmglow
