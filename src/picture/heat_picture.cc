// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/heat_picture.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "picture/backdrop.h"

namespace ohmglow::internal {
namespace {

constexpr double kNoiseHeadroom = 8;    // The scale spans at least this many standard deviations.
constexpr double kNegativeShare = 0.1;  // Dark end at least this far below zero, of the high end.
constexpr double kOutlineWeight = 0.28;
constexpr int kHatchPx = 12;
const cv::Vec3b kHatchLight(225, 225, 225);
const cv::Vec3b kHatchDark(180, 180, 180);

/// The body enlarged without steps; NaN stays out of the interpolation.
cv::Mat_<float> Enlarged(const Image& response_k, int times) {
  Image filled = response_k.clone();
  for (float& v : filled) {
    if (!std::isfinite(v)) v = 0;
  }
  // Pixel centres: resize keeps the middle of the picture in the middle.
  cv::Mat_<float> large;
  cv::resize(filled, large, filled.size() * times, 0, 0, cv::INTER_CUBIC);
  return large;
}

}  // namespace

ColorScale HeatScale(const Image& response_k, double noise_k) {
  std::vector<float> values;
  for (const float v : response_k) {
    if (std::isfinite(v)) values.push_back(v);
  }
  if (values.empty()) return {-1, 1};
  const auto [least, most] = std::minmax_element(values.begin(), values.end());
  const double noise = std::isfinite(noise_k) ? kNoiseHeadroom * noise_k : 0;
  const double high = std::max({static_cast<double>(*most), noise, 1e-4});
  return {std::min({static_cast<double>(*least), -kNegativeShare * high}), high};
}

ColorScale CommonScale(const ColorScale& a, const ColorScale& b) {
  return {std::min(a.low(), b.low()), std::max(a.high(), b.high())};
}

cv::Mat HeatPicture(const Image& response_k, const ColorScale& scale, int times) {
  const cv::Mat_<float> values = Enlarged(response_k, times);
  const auto byte = [](double v) { return cv::saturate_cast<unsigned char>(255 * v); };
  std::vector<float> from;
  std::vector<cv::Vec3b> colors;
  for (const ColorScale::Step& step : scale.Steps()) {
    from.push_back(static_cast<float>(step.from));
    colors.emplace_back(byte(step.color.blue), byte(step.color.green), byte(step.color.red));
  }
  from.push_back(std::numeric_limits<float>::infinity());
  cv::Mat_<cv::Vec3b> bgr(values.size());
  // An enlarged picture's neighbours differ by few steps.
  std::size_t at = 0;
  for (int y = 0; y < values.rows; ++y) {
    for (int x = 0; x < values.cols; ++x) {
      const float value = values(y, x);
      while (value < from[at]) --at;
      while (value >= from[at + 1] && at + 1 < colors.size()) ++at;
      bgr(y, x) = colors[at];
    }
  }
  return bgr;
}

void HatchUnknown(cv::Mat& bgr, const Image& response_k, int times) {
  for (int y = 0; y < bgr.rows; ++y) {
    for (int x = 0; x < bgr.cols; ++x) {
      if (std::isfinite(response_k(y / times, x / times))) continue;
      bgr.at<cv::Vec3b>(y, x) = (x + y) % kHatchPx < kHatchPx / 3 ? kHatchDark : kHatchLight;
    }
  }
}

cv::Mat FrameOutlines(const LocateResult& result, int times) {
  // Derivatives in float: eight-bit steps of an enlarged picture would each
  // look like an edge.
  cv::Mat grey;
  StaticGrey(result).convertTo(grey, CV_32F);
  cv::resize(grey, grey, grey.size() * times, 0, 0, cv::INTER_CUBIC);
  cv::GaussianBlur(grey, grey, {}, 0.8 * times);
  cv::Mat dx;
  cv::Mat dy;
  cv::Sobel(grey, dx, CV_32F, 1, 0, 3, times);
  cv::Sobel(grey, dy, CV_32F, 0, 1, 3, times);
  dx.convertTo(dx, CV_16S);
  dy.convertTo(dy, CV_16S);
  cv::Mat edges;
  cv::Canny(dx, dy, edges, 60, 140, true);
  return edges;
}

void BlendOutlines(cv::Mat& bgr, const LocateResult& result, int times) {
  if (result.reference_k.empty() || result.reference_k.size() * times != bgr.size()) return;
  cv::Mat tinted = bgr.clone();
  tinted.setTo(cv::Scalar(225, 225, 225), FrameOutlines(result, times));
  cv::addWeighted(tinted, kOutlineWeight, bgr, 1 - kOutlineWeight, 0, bgr);
}

}  // namespace ohmglow::internal
