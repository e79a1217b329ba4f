// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <vector>

#include "ohmglow/align/alignment.h"
#include "ohmglow/align/screening_report.h"

namespace ohmglow::internal {

/// What one pass over the raw frames tells, before any motion is known.
struct Screening {
  std::vector<FrameState> frames;  ///< Some excluded, with the reason; segments counted.
  int num_segments = 1;
  Mask good_pixels;
  double noise_k = 0;  ///< Of one pixel in one frame, that of columns and rows included [K].
  ScreeningReport report;
};

/// Finds repeated, frozen, saturated and covered frames, steps of the offset,
/// bad pixels and the noise, in one pass over the frames.
///
/// Memory: some frame-sized maps, and 0.4 kB a frame.
/// @param progress  called with 0 .. 1; may be empty.
/// Source: 1.4826 x MAD as a robust standard deviation (normal quantile).
[[nodiscard]] Screening ScreenFrames(FrameSource& frames,
                                     const AlignOptions& options,
                                     const std::function<void(double)>& progress);

}  // namespace ohmglow::internal
