// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/base/geometry.h"
#include "scenario.h"

namespace ohmglow::simulate {

/// Where a lens puts what a pinhole would have put at `pinhole_px`: the place
/// moves away from the middle by the factor 1 + k r^2, r in half diagonals.
/// First radial term of D. C. Brown, "Close-range camera calibration",
/// Photogramm. Eng. 37 (1971) 855-866.
[[nodiscard]] Point Distorted(Point pinhole_px, cv::Size photo_px, double k);

/// A drawing as a camera takes it: lens, uneven light, blur, noise, each only
/// where the scenario asks for it.
[[nodiscard]] cv::Mat AsTaken(const cv::Mat& drawing, const Scenario& scenario);

}  // namespace ohmglow::simulate
