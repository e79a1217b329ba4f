// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

namespace ohmglow {

/// How wide and how quick heat shows on the surface, five seconds after a step
/// of the power: what tells a chip, a moulded body and the far side apart
/// without any number of the plate.
struct HeatForm {
  double width_mm = 0;   ///< Full width at half of the rise over the surroundings; 0: not known.
  double half_s = 0;     ///< Until the middle reaches half of its rise after 5 s.
  double rise_k = 0;     ///< Of the middle, 5 s after a step to the highest current.
  double log_sigma = 9;  ///< Noise of the middle's rise over that rise.
  [[nodiscard]] bool Known() const { return width_mm > 0; }
};

/// Mean courses of rings around a place, in any span of courses.
struct RingCourses {
  Eigen::MatrixXd mean_k;      ///< Modes x rings, from the middle outwards.
  Eigen::VectorXd radius_mm;   ///< Ascending.
  Eigen::VectorXd num_pixels;  ///< Of each ring.
};

/// Lags [s] whose sum with positive weights describes the course of any place.
[[nodiscard]] const Eigen::VectorXd& FormLags();

/// Reads width and quickness off the rings. Each ring's course becomes a sum of
/// lags with weights >= 0 (heat only comes), whose rise 5 s after a step does
/// not depend on what the supply did.
/// @param rings  three or more, the outermost beyond the heat.
/// @param lags   modes x FormLags(): the drive's response with each lag.
/// @param noise_k  of one pixel in one frame.
/// @return  unknown where the middle does not rise.
[[nodiscard]] HeatForm MeasureForm(const RingCourses& rings,
                                   const Eigen::MatrixXd& lags,
                                   double noise_k);

}  // namespace ohmglow
