// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "align/screening_sums.h"
#include "ohmglow/align/screening_report.h"

namespace ohmglow::internal {

/// Judges each pixel by its course against its neighbours'.
///
/// What the optics show is never one pixel alone: with a blur of 0.5 px or more
/// a point of the scene gives its four neighbours a quarter of its own signal
/// or more. A course, liveliness or level of which the neighbours have next to
/// nothing belongs to the pixel. So a warming part, however small, a blinking
/// light or an edge that sways is no fault of the sensor.
/// @param dead_pixel_sigmas  distance from the neighbours at which a level is
///   looked at, in units of one frame's noise.
/// @returns a PixelFault in each pixel; `noise_k` is the median liveliness.
[[nodiscard]] cv::Mat_<unsigned char> JudgePixels(const ScreeningSums& sums,
                                                  double dead_pixel_sigmas,
                                                  double& noise_k);

}  // namespace ohmglow::internal
