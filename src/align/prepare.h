// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow::internal {

/// Side of the box whose mean the high-pass takes away: larger than the
/// texture's details, smaller than what drifts or warms [px].
inline constexpr int kHighPassBoxPx = 15;

/// Turns raw frames into what registration compares: bad and saturated pixels
/// filled from their neighbours, everything smooth in space (offset, drift,
/// reflections, broad warmth, most of a shutter's change) taken away.
class FramePreparer {
 public:
  explicit FramePreparer(const Mask& good_pixels);

  /// @param raw_k  one frame [K]; NaN allowed.
  /// @param out_k  the high-passed frame [K], finite everywhere.
  void HighPass(const Image& raw_k, Image& out_k) const;

 private:
  void FillBad(Image& frame_k) const;

  Mask good_pixels_;
  std::vector<cv::Point> bad_;
};

}  // namespace ohmglow::internal
