// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <vector>

#include "ohmglow/align/alignment.h"

namespace ohmglow::internal {

/// What one pass over the raw frames tells, before any motion is known.
struct Screening {
  std::vector<FrameState> frames;  ///< Repeats and saturated frames dropped; segments counted.
  int num_segments = 1;
  Mask good_pixels;
  double noise_k = 0;  ///< White noise of one pixel in one frame [K].
};

/// Finds repeated frames, offset jumps and bad pixels.
///
/// - A frame that equals the one before bit for bit is dropped. Two or more in
///   a row are a shutter event: the next frame opens a new segment.
/// - A step of the picture that is smooth in space (which motion of a textured
///   scene is not) and far larger than the usual one opens a new segment too.
/// - A pixel whose change from frame to frame is far smaller (stuck) or larger
///   (noisy, blinking) than its neighbours', or which stands out of all its
///   neighbours as no focused picture can, is bad. The comparison is with the
///   median of the neighbourhood: a moving edge makes many pixels lively, a
///   bad one is lonely.
/// @param progress  called with 0 .. 1; may be empty.
/// Source: 1.4826 x MAD as a robust standard deviation (normal quantile).
[[nodiscard]] Screening ScreenFrames(FrameSource& frames,
                                     const AlignOptions& options,
                                     const std::function<void(double)>& progress);

}  // namespace ohmglow::internal
