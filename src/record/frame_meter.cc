// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/frame_meter.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/median.h"
#include "ohmglow/base/error.h"

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
  return MedianOf(some);
}

bool MostlyFinite(const Image& values) {
  const auto finite =
      std::count_if(values.begin(), values.end(), [](float value) { return std::isfinite(value); });
  return 2 * static_cast<std::size_t>(finite) >= values.total();
}

}  // namespace

void FrameMeter::CheckSize(const Image& kelvin) const {
  if (rest_k_.empty() || rest_k_.size() == kelvin.size()) return;
  throw InputError("a frame came that is not as large as those before; check the camera");
}

bool FrameMeter::Rest(const Image& kelvin) {
  CheckSize(kelvin);
  if (!MostlyFinite(kelvin)) return false;
  if (rested()) rest_shown_k_ = std::max(rest_shown_k_, Shown(kelvin));
  if (rest_k_.empty()) {
    rest_k_ = Image(kelvin.size(), std::numeric_limits<float>::quiet_NaN());
    num_had_ = cv::Mat1i::zeros(kelvin.size());
  }
  for (std::size_t i = 0; i < kelvin.total(); ++i) {
    const int at = static_cast<int>(i);
    if (!std::isfinite(kelvin(at))) continue;
    const int had = ++num_had_(at);
    if (had == 1) rest_k_(at) = kelvin(at);
    rest_k_(at) += (kelvin(at) - rest_k_(at)) / static_cast<float>(had);
  }
  ++num_rest_;
  return true;
}

bool FrameMeter::rested() const { return num_rest_ >= kEnoughRest; }

double FrameMeter::blind_share() const {
  if (rest_k_.empty()) return 1;
  const int blind = static_cast<int>(num_had_.total()) - cv::countNonZero(num_had_);
  return static_cast<double>(blind) / static_cast<double>(num_had_.total());
}

// Largest mean of 3 x 3 of the difference to the rest, the common part out.
double FrameMeter::Shown(const Image& kelvin) const {
  Image rise(kelvin - rest_k_);
  const float common = Median(rise);
  for (float& value : rise) value = std::isfinite(value) ? value - common : 0;
  cv::medianBlur(rise, rise, 3);  // Single pixels say nothing.
  cv::blur(rise, rise, {3, 3});
  double most = 0;
  cv::minMaxLoc(rise, nullptr, &most);
  return most;
}

FrameHeat FrameMeter::Measure(const Image& kelvin) const {
  CheckSize(kelvin);
  Image hot = kelvin.clone();
  Image rise(kelvin.size(), kNoValue);
  for (std::size_t i = 0; i < hot.total(); ++i) {
    const int at = static_cast<int>(i);
    const bool had = rested() && num_had_(at) > 0;
    if (!std::isfinite(hot(at))) {
      hot(at) = had ? kBeyond : kNoValue;
      rise(at) = had ? kBeyond : kNoValue;
    } else if (had) {
      rise(at) = hot(at) - rest_k_(at);
    }
  }
  FrameHeat heat;
  heat.hottest_k = HottestBlock(hot, heat.hottest_px);
  if (!rested()) return heat;
  heat.rise_k = std::max(0.0, HottestBlock(rise, heat.rise_px));
  heat.shown_k = Shown(kelvin) - rest_shown_k_;
  return heat;
}

}  // namespace ohmglow::record
