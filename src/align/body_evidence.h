// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/photo_edges.h"
#include "ohmglow/base/geometry.h"

namespace ohmglow {

/// How much more likely a map is than one that lays the bodies anywhere: the sum
/// of log likelihood ratios over the bodies in view. A body speaks for the map
/// where all its sides are edges of one sign; how rare that is, places all over
/// the same picture say.
/// @param bodies_mm  outlines of the list, along its axes.
/// @param picture_from_board  any camera's view of the board.
[[nodiscard]] double BodyEvidence(const PhotoLevels& picture,
                                  const PlaneMap& picture_from_board,
                                  const std::vector<cv::Rect2d>& bodies_mm);

}  // namespace ohmglow
