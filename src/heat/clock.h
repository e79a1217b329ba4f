// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

#include "heat/plate.h"
#include "heat/source_courses.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/heat/heat_options.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

struct ClockFit {
  double offset_s = 0;  ///< Log time + offset = frame time.
  double sigma_s = 0;   ///< From the curvature of the likelihood.
};

/// The clock offset under which heat sources of all kinds explain the picture
/// best: sum over blocks of pixels of the gain in profile likelihood of the
/// best kind, noise of each block unknown, smooth courses given away. A lag
/// cannot stand in for an offset: it rounds the corners of the course at the
/// steps, an offset moves them.
/// @param courses  bins x pixels, weighted and projected.
[[nodiscard]] ClockFit EstimateClock(const Eigen::MatrixXf& courses,
                                     const Stack& stack,
                                     const SupplyLog& log,
                                     const Plate& plate,
                                     const HeatOptions& options);

}  // namespace ohmglow
