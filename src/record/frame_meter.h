// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/base/image.h"

namespace ohmglow::record {

/// How warm one frame is. Hottest is the coldest pixel of the hottest block of 2 x 2:
/// a dead pixel or column does not count, a spot of the optics' own blur does.
struct FrameHeat {
  double hottest_k = 0;  ///< Infinite where such a block is beyond the camera's range.
  cv::Point hottest_px;
  double rise_k = 0;  ///< Above the rest; 0 before there was one.
  cv::Point rise_px;
  /// Rise above what the whole picture does, of a block of 3 x 3, less what the rest
  /// itself showed of such (motion, drift, noise): above 0 where heat shows.
  double shown_k = 0;
};

/// Holds frames against the mean of those before anything was switched on.
class FrameMeter {
 public:
  /// A frame [K] of the rest: part of the mean, and of what the rest shows by itself.
  void Rest(const Image& kelvin);
  /// @param kelvin  NaN: no value; beyond the range where the rest had one.
  [[nodiscard]] FrameHeat Measure(const Image& kelvin) const;
  [[nodiscard]] int num_rest() const { return num_rest_; }

 private:
  [[nodiscard]] double Shown(const Image& kelvin) const;

  Image sum_k_;
  int num_rest_ = 0;
  double rest_shown_k_ = 0;
};

}  // namespace ohmglow::record
