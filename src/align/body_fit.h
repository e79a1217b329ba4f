// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/photo_edges.h"
#include "ohmglow/base/geometry.h"

namespace ohmglow {

struct FittedBodies {
  PlaneMap picture_from_board;
  double evidence = 0;  ///< See BodyEvidence(), less what the move away from the start costs.
  double error_mm = 0;  ///< Standard error of a place, rms over the bodies in view.
};

/// A map of a thermal picture moved, turned, stretched and slanted a little to where
/// the bodies show best.
/// @param off_mm  by which the start may be wrong, about.
[[nodiscard]] FittedBodies FitBodies(const PhotoLevels& picture,
                                     const PlaneMap& start,
                                     const std::vector<cv::Rect2d>& bodies_mm,
                                     double off_mm);

}  // namespace ohmglow
