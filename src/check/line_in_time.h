// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/check/registration_check.h"

namespace ohmglow::internal {

/// The row (or column) of the static picture that would show a wandering along
/// it best: the one with the most edges along itself, the frame's rim left out.
/// @param residual_k  of the same size; where it is large something warms, and
///                    its edges are none of the static picture's.
[[nodiscard]] int LineOfMostTexture(const Image& static_k, const Image& residual_k, bool is_row);

/// Follows one row and one column through the capture, as filmed and registered, in one pass.
/// At most `most_frames` frames, evenly spread.
void FollowLines(FrameSource& frames,
                 const Alignment& alignment,
                 int most_frames,
                 LineInTime& row,
                 LineInTime& column);

}  // namespace ohmglow::internal
