// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/input/case.h"

namespace ohmglow {

/// When pixels are finer than heat is sharp.
struct BinningOptions {
  /// Squares are at most so wide [mm]: what the detector's sizes and the confidence are
  /// calibrated on (tools/simulate/descriptions/wide.ini: 0.3 to 0.55).
  double most_mm = 0.45;
  /// The shorter side of a frame keeps so many: registration needs the texture.
  int least_px = 90;
  /// Where the scale is a guess, pixels of larger frames are taken in twos: the board is not
  /// likely to be half a metre wide.
  int large_frame_px = 150000;
};

/// Pixels of the sensor, along and across, that are worked on as one; 1: each by itself.
/// Frames without a temperature and those with regions of emissivity stay as they are: where a
/// picture was clipped, and where a region ends, is asked of its pixels.
[[nodiscard]] int ChooseBinning(const Case& job, const BinningOptions& options = {});

/// What result.json says of a binning that nobody asked for.
[[nodiscard]] Assumption AssumedBinning(int binning);

/// The same case in larger pixels: frames, landmarks, contacts, scale.
/// @param binning  from ChooseBinning(), or 1 to the frames' shorter side.
[[nodiscard]] Case Binned(const Case& job, int binning);

}  // namespace ohmglow
