// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <span>
#include <vector>

#include "heat/drive.h"
#include "heat/source_courses.h"
#include "heat/temporal_model.h"

namespace ohmglow {

/// Courses of all kinds of sources whose power goes with some powers of the current:
/// weighted, nothing taken out.
/// @returns  for each exponent bins x kinds.
[[nodiscard]] inline std::vector<Eigen::MatrixXd> ShapesOfKinds(const TemporalModel& model,
                                                                const Drive& drive,
                                                                const SourceCourses& sources,
                                                                std::span<const double> exponents) {
  std::vector<Eigen::MatrixXd> shapes = model.BinnedLags(drive, sources.lags_s, exponents);
  for (Eigen::MatrixXd& shape : shapes) {
    shape = model.weight().asDiagonal() * (shape * sources.mixture);
  }
  return shapes;
}

}  // namespace ohmglow
