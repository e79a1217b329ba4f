// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <vector>

#include "ohmglow/input/case.h"
#include "ohmglow/input/radiometry.h"
#include "ohmglow/input/signal_curve.h"

namespace ohmglow {

/// What the counts of kept frames mean: kelvin = zero + scale x count, as a camera
/// set to emissivity 1 shows it; where there is a curve, count = its signal; neither
/// where the frames are relative. Count 0 is no value.
struct KeptCounts {
  double scale = 1;
  double zero = 0;
  bool original_steps = false;  ///< Each count is one of the original, moved at most.
  std::optional<SignalCurve> curve = std::nullopt;
  SurfaceOptions surface = {};     ///< What the reader must take out again.
  std::vector<int> left_out = {};  ///< Frames of the original that could not be read.
};

/// Writes a case's frames, one at a time, as one TIFF of 16-bit counts, Deflate with
/// horizontal differencing (TIFF 6.0, section 14), without any further tag. Whole
/// numbers keep their steps, so nothing is rounded; of others the step is 1 mK where
/// their span fits into 65 K, else the finest of 1-2-5 that fits.
/// @throws OutputError  where the file cannot be written.
/// @throws DataError  pictures, which are no measurements; frames without any value.
/// A frame that cannot be read is left out, as long as that is a tenth of them at most.
/// @throws InputError  more cannot be read.
[[nodiscard]] KeptCounts WriteKeptFrames(const Case& job, const std::filesystem::path& file);

}  // namespace ohmglow
