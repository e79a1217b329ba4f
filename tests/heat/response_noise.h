// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "heat/drive.h"
#include "heat/plate.h"
#include "heat/stack.h"
#include "ohmglow/heat/heat_options.h"

namespace ohmglow::testing {

/// Noise of the fitted rise beside what the fit and the capture allow.
struct ResponseNoise {
  double gain = 0;      ///< Shown rise over the rise that was put in, median over the places.
  double spread_k = 0;  ///< Of the shown rise between the places.
  double design_k = 0;  ///< What the same fit makes of the camera's white noise alone.
  double white_k = 0;   ///< Least spread in white noise: an offset a pixel, course known.
  double true_k = 0;    ///< The same with the pixels' slow noise known as well.
};

/// The camera's noise as it truly is.
struct CameraNoise {
  double white_k = 0.05;  ///< One pixel in one frame, standard deviation.
  double slow_k = 0;      ///< What wanders slowly, standard deviation.
  double slow_s = 8;      ///< Its correlation time.
};

/// Puts warm spots of known rise into a capture without a fault, fits, and
/// compares places and surroundings.
///
/// Limits of the least spread: best linear unbiased estimate of the amplitude
/// of a known course (generalised least squares; Aitken 1935) beside a free
/// offset, seen through the map's own smoothing.
/// @param lag_s  the spots warm with this lag of the current squared.
/// @param rise_of_noise  rise of the spots over `CameraNoise::white_k`.
[[nodiscard]] ResponseNoise MeasureResponseNoise(const Stack& stack,
                                                 const Drive& drive,
                                                 const Plate& plate,
                                                 const HeatOptions& options,
                                                 const CameraNoise& camera,
                                                 double lag_s,
                                                 double rise_of_noise);

}  // namespace ohmglow::testing
