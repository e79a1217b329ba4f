// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "check/line_in_time.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "align/robust.h"
#include "base/quantile.h"

namespace ohmglow::internal {
namespace {

constexpr int kEndPx = 8;
constexpr float kWarmTimes = 2;  // Of the usual residual.
constexpr double kSteepShare = 0.95;
constexpr std::size_t kMedianStep = 7;  // Every n-th pixel is enough for an offset.

float MedianOf(const Image& frame) {
  std::vector<float> values;
  std::size_t i = 0;
  for (const float v : frame) {
    if (i++ % kMedianStep == 0 && std::isfinite(v)) values.push_back(v);
  }
  return MedianInPlace(values);
}

// Bad pixels take the value of a good neighbour: they would cross the picture as stripes.
void FillBad(const Mask& good, Image& frame) {
  for (int y = 0; y < frame.rows; ++y) {
    for (int x = 0; x < frame.cols; ++x) {
      if (good(y, x) && std::isfinite(frame(y, x))) continue;
      frame(y, x) = x > 0 ? frame(y, x - 1) : (y > 0 ? frame(y - 1, x) : 0.0F);
    }
  }
}

void TakeLine(const Image& frame, const FrameState& state, float offset, LineInTime& line) {
  const int length = line.is_row ? frame.cols : frame.rows;
  const PlaneMap map = MapOf(state, frame.size());
  Image map_x(1, length), map_y(1, length), moved, plain(1, length);
  for (int i = 0; i < length; ++i) {
    const Point place = line.is_row ? Point(i, line.line) : Point(line.line, i);
    const Point there = map.Apply(place);
    map_x(0, i) = static_cast<float>(there.x);
    map_y(0, i) = static_cast<float>(there.y);
    plain(0, i) = line.is_row ? frame(line.line, i) : frame(i, line.line);
  }
  cv::remap(frame,
            moved,
            map_x,
            map_y,
            cv::INTER_LINEAR,
            cv::BORDER_CONSTANT,
            cv::Scalar(std::numeric_limits<float>::quiet_NaN()));
  line.before_k.push_back(Image(plain - offset));
  line.after_k.push_back(Image(moved - offset));
}

}  // namespace

int LineOfMostTexture(const Image& static_k, const Image& residual_k, bool is_row) {
  Image slope;
  cv::Sobel(static_k, slope, CV_32F, is_row ? 1 : 0, is_row ? 0 : 1);
  slope = cv::abs(slope);
  std::vector<float> residuals(residual_k.begin(), residual_k.end());
  const float usual = MedianInPlace(residuals);
  slope.setTo(0, residual_k > kWarmTimes * usual);
  // Many edges tell more than one steep one.
  std::vector<float> slopes;
  std::copy_if(
      slope.begin(), slope.end(), std::back_inserter(slopes), [](float v) { return v > 0; });
  if (!slopes.empty()) {
    slope = cv::min(slope, QuantileOf(slopes, kSteepShare));
  }
  Image sums;
  cv::reduce(slope, sums, is_row ? 1 : 0, cv::REDUCE_SUM);
  const int count = is_row ? static_k.rows : static_k.cols;
  const auto begin = sums.begin() + std::min(kEndPx, count / 3);
  const auto end = sums.begin() + (count - std::min(kEndPx, count / 3));
  return static_cast<int>(std::max_element(begin, end) - sums.begin());
}

void FollowLines(FrameSource& frames,
                 const Alignment& alignment,
                 int most_frames,
                 LineInTime& row,
                 LineInTime& column) {
  std::vector<int> used;
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    if (alignment.frames[n].used) used.push_back(static_cast<int>(n));
  }
  const std::size_t step = (used.size() + static_cast<std::size_t>(most_frames) - 1) /
                           static_cast<std::size_t>(most_frames);
  Image frame;
  for (std::size_t i = 0; i < used.size(); i += std::max<std::size_t>(step, 1)) {
    frames.Read(used[i], frame);
    FillBad(alignment.good_pixels, frame);
    const FrameState& state = alignment.frames[static_cast<std::size_t>(used[i])];
    const float offset = MedianOf(frame);
    for (LineInTime* line : {&row, &column}) {
      line->frames.push_back(used[i]);
      TakeLine(frame, state, offset, *line);
    }
  }
}

}  // namespace ohmglow::internal
