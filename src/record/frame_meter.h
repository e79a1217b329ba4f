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
  /// A frame [K] of the rest: part of the mean, and of what the rest shows by itself. NaN is
  /// no part of a pixel's mean. @return  false: without a value in most pixels (a closed
  /// shutter, say), so no frame of the rest.
  /// @throws InputError  where its size is not that of the frames before.
  bool Rest(const Image& kelvin);
  /// @param kelvin  NaN: no value; beyond the range where the rest ever had one.
  /// @throws InputError  as above.
  [[nodiscard]] FrameHeat Measure(const Image& kelvin) const;
  [[nodiscard]] int num_rest() const { return num_rest_; }
  /// So many frames rested that others are held against them.
  [[nodiscard]] bool rested() const;
  /// Share of the pixels that never had a value in the rest; 1 before there was one.
  [[nodiscard]] double blind_share() const;

 private:
  [[nodiscard]] double Shown(const Image& kelvin) const;

  void CheckSize(const Image& kelvin) const;

  Image rest_k_;       // Mean; NaN where there never was a value.
  cv::Mat1i num_had_;  // Values of each pixel in it.
  int num_rest_ = 0;
  double rest_shown_k_ = 0;
};

}  // namespace ohmglow::record
