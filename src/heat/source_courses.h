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
};

/// @param plate  the sheet conductance is varied over what boards have.
[[nodiscard]] SourceCourses MakeSourceCourses(const Plate& plate);

}  // namespace ohmglow
