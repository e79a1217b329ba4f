// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/motion.h"
#include "ohmglow/align/alignment.h"

namespace ohmglow::internal {

/// A used frame where its own fit puts it.
struct PlacedFrame {
  FrameState* state = nullptr;
  Motion motion = Motion::eye();
  double contrast = 1;  ///< Of its texture against the scene's.
};

/// Drops frames that fast motion blurred: those that lie far from the one
/// before or after and show clearly less contrast than the frames around.
/// Motion during the exposure moves every pixel's texture alike and so lowers
/// the contrast of the whole band, which neither noise nor heat does.
/// @return  how many; they are taken out of `placed` as well.
int DropBlurred(cv::Size size_px, std::vector<PlacedFrame>& placed);

/// Joins to each used frame's residual_px the share of its motion that a fit
/// misses: what changes in the scene, and the sensor's pattern that holds it
/// back (`drag`), neither of which the frames' own noise shows.
void AddMissedMotion(cv::Size size_px, double drag, double most_px, Alignment& alignment);

/// Fills in largest_shift_px and median_residual_px, and says in a remark
/// where the frames cannot be registered well.
void Summarise(cv::Size size_px, bool fixes_motion, Alignment& alignment);

}  // namespace ohmglow::internal
