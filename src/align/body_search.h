// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/photo_edges.h"
#include "ohmglow/base/geometry.h"

namespace ohmglow {

struct BodySearch {
  double mm_per_px = 1;
  double within = 0.1;  ///< Share by which that may be wrong.
  int most = 24;        ///< Maps asked for.
};

/// How far off the maps of SearchBodies() leave a body, about [mm].
inline constexpr double kBodySearchOffMm = 0.8;

/// Where the bodies of a list show best, over all places, scales, turns and both
/// hands: maps from the board to the picture, best first, each clearly another.
/// @param picture  seen about straight.
[[nodiscard]] std::vector<PlaneMap> SearchBodies(const PhotoLevels& picture,
                                                 const Mask& seen,
                                                 const std::vector<cv::Rect2d>& bodies_mm,
                                                 const BodySearch& how);

}  // namespace ohmglow
