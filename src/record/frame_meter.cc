// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/frame_meter.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace ohmglow::record {
namespace {

constexpr float kNoValue = -1e9F;  // Of a pixel that never had one: cannot be the hottest.
constexpr float kBeyond = 1e9F;    // Of one that had and lost it.
constexpr int kEnoughRest = 4;     // Frames after which a frame is held against them.

// The coldest of each block of 2 x 2, the hottest such.
double HottestBlock(const Image& values, cv::Point& at) {
  cv::Mat coldest;
  cv::erode(values, coldest, cv::Mat::ones(2, 2, CV_8U));
  double hottest = 0;
  cv::minMaxLoc(coldest, nullptr, &hottest, nullptr, &at);
  if (hottest >= static_cast<double>(kBeyond)) return std::numeric_limits<double>::infinity();
  return hottest;
}

float Median(const Image& values) {
  std::vector<float> some;
  const std::size_t step = std::max<std::size_t>(1, values.total() / 2000);
  for (std::size_t i = 0; i < values.total(); i += step) {
    const float value = values(static_cast<int>(i));
    if (std::abs(value) < kBeyond / 2) some.push_back(value);
  }
  if (some.empty()) return 0;
  const auto middle = some.begin() + static_cast<std::ptrdiff_t>(some.size() / 2);
  std::nth_element(some.begin(), middle, some.end());
  return *middle;
}

}  // namespace

void FrameMeter::Rest(const Image& kelvin) {
  if (num_rest_ >= kEnoughRest) rest_shown_k_ = std::max(rest_shown_k_, Shown(kelvin));
  if (sum_k_.empty()) sum_k_ = Image(kelvin.size(), 0.0F);
  sum_k_ += kelvin;
  ++num_rest_;
}

// Largest mean of 3 x 3 of the difference to the rest, the common part out.
double FrameMeter::Shown(const Image& kelvin) const {
  Image rise(kelvin - sum_k_ * (1.0 / num_rest_));
  const float common = Median(rise);
  for (float& value : rise) value = std::isfinite(value) ? value - common : 0;
  cv::medianBlur(rise, rise, 3);  // Single pixels say nothing.
  cv::blur(rise, rise, {3, 3});
  double most = 0;
  cv::minMaxLoc(rise, nullptr, &most);
  return most;
}

FrameHeat FrameMeter::Measure(const Image& kelvin) const {
  const bool rested = num_rest_ >= kEnoughRest;
  Image hot = kelvin.clone();
  Image rise(kelvin.size(), kNoValue);
  for (std::size_t i = 0; i < hot.total(); ++i) {
    const int at = static_cast<int>(i);
    const float rest = rested ? sum_k_(at) / static_cast<float>(num_rest_)
                              : std::numeric_limits<float>::quiet_NaN();
    const bool had = std::isfinite(rest);
    if (!std::isfinite(hot(at))) {
      hot(at) = had ? kBeyond : kNoValue;
      rise(at) = had ? kBeyond : kNoValue;
    } else if (had) {
      rise(at) = hot(at) - rest;
    }
  }
  FrameHeat heat;
  heat.hottest_k = HottestBlock(hot, heat.hottest_px);
  if (!rested) return heat;
  heat.rise_k = std::max(0.0, HottestBlock(rise, heat.rise_px));
  heat.shown_k = Shown(kelvin) - rest_shown_k_;
  return heat;
}

}  // namespace ohmglow::record
