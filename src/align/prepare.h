// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/band.h"
#include "ohmglow/base/image.h"

namespace ohmglow::internal {

/// Side of the box whose mean the high-pass takes away: larger than the
/// texture's details, smaller than what drifts or warms [px].
inline constexpr int kHighPassBoxPx = 15;

/// White noise of standard deviation 1 before BandPass has this one after it:
/// sqrt((1 + 1/9 - 4/10) / (4 pi)), the norm of the difference of Gaussians.
inline constexpr double kBandNoise = 0.238;
/// The largest gain of BandPass at any spatial frequency.
inline constexpr double kBandPeak = 0.675;

/// Turns raw frames into what registration compares: bad and saturated pixels
/// filled from their neighbours, everything smooth in space (offset, drift,
/// reflections, broad warmth, most of a shutter's change) taken away.
class FramePreparer {
 public:
  explicit FramePreparer(const Mask& good_pixels);

  /// @param raw_k  one frame [K]; NaN allowed.
  /// @param out_k  the high-passed frame [K], finite everywhere.
  void HighPass(const Image& raw_k, Image& out_k) const;
  /// The band that registration compares: a Gaussian of 1 px less one of 3 px,
  /// less the offset of each row and column. Most of a sensor's pattern lies
  /// outside it: single pixels are finer, whole columns and rows are gone.
  void BandPass(const Image& raw_k, Image& out_k) const;

 private:
  void FillBad(Image& frame_k) const;

  Mask good_pixels_;
  std::vector<cv::Point> bad_;
  // Working memory: not for two threads at once.
  mutable Image filled_;
  mutable BandScratch scratch_;
};

}  // namespace ohmglow::internal
