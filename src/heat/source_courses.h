// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

#include "heat/plate.h"

namespace ohmglow {

/// Courses in time that heat sources of many kinds make right at their place
/// (small and large, quick and slow parts, near and far side, little and much
/// copper), as mixtures of first-order lags of the drive.
struct SourceCourses {
  Eigen::VectorXd lags_s;   ///< L lags.
  Eigen::MatrixXd mixture;  ///< L x kinds; column: weights of the lags, unit sum of squares.
  double board_s = 160;     ///< Time in which a board as a whole warms: C/H.
  Eigen::VectorXd half_s;   ///< Per kind: time to half of the rise that a step makes in 5 s.
};

/// @param plate  the sheet conductance is varied over what boards have.
[[nodiscard]] SourceCourses MakeSourceCourses(const Plate& plate);

/// Every n-th kind, where a few will do.
[[nodiscard]] SourceCourses EveryNth(const SourceCourses& sources, Eigen::Index n);

/// The same as a band of spatial detail sees them: a Gaussian mean of
/// `inner_mm` (standard deviation) less one of `outer_mm`.
[[nodiscard]] SourceCourses MakeBandCourses(const Plate& plate, double inner_mm, double outer_mm);

}  // namespace ohmglow
