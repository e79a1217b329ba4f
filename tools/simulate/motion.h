// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/geometry.h"
#include "scenario.h"

namespace ohmglow::simulate {

/// Where a pixel of frame 0 is in each frame; the first is the identity.
///
/// tripod: a hundredth of a pixel; arm: two slow swings and a creep; hand:
/// drift, breathing, tremor of 6 to 9 Hz, rotation and scale; bump: a tripod
/// that is knocked once, rings and stays displaced.
[[nodiscard]] std::vector<Similarity> MakeMotion(const Scenario& scenario,
                                                 const std::vector<double>& times_s);

/// The camera's axis in each frame against frame 0, about the frame's x and y
/// [deg]: it circles the place that it looks at, so that the perspective
/// changes. Empty where the scenario has no such sway.
[[nodiscard]] std::vector<cv::Vec2d> MakeTiltSway(const Scenario& scenario,
                                                  const std::vector<double>& times_s);

}  // namespace ohmglow::simulate
