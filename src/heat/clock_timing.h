// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/clock_grid.h"
#include "heat/clock_steps.h"
#include "heat/source_courses.h"
#include "heat/temporal_model.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// When each step of the current is seen in the frames.
struct StepTiming {
  std::vector<double> at_s;     ///< Log's clock: best of log and frames together.
  std::vector<double> seen_s;   ///< Log's clock: of the frames alone.
  std::vector<double> sigma_s;  ///< Of `seen_s`.
};

/// Times of the steps by Gauss-Newton, every spot with its own kind and free
/// amplitude, all spots and steps together.
/// @param spots   a point a spot.  @param kinds  the kind of each.
/// @param weights  of each spot's squared residuals.
[[nodiscard]] StepTiming TimeSteps(const FineGrid& spots,
                                   const std::vector<Eigen::Index>& kinds,
                                   const std::vector<double>& weights,
                                   const SourceCourses& sources,
                                   const TemporalModel& model,
                                   const SupplyLog& log,
                                   const std::vector<LogStep>& steps,
                                   double offset_s);

}  // namespace ohmglow
