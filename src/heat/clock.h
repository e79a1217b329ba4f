// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

#include "heat/temporal_model.h"
#include "ohmglow/heat/heat_options.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

struct ClockFit {
  double offset_s = 0;  ///< Log time + offset = frame time.
  double sigma_s = 0;   ///< From the curvature of the likelihood.
};

/// The clock offset under which lags of every length, with free amplitudes,
/// explain the busiest pixels best (profile likelihood, noise of each pixel
/// unknown). A lag cannot stand in for an offset: it rounds the corners of the
/// course at the steps, an offset moves them.
/// @param courses  bins x pixels, weighted and projected.
[[nodiscard]] ClockFit EstimateClock(const Eigen::MatrixXf& courses,
                                     const TemporalModel& model,
                                     const SupplyLog& log,
                                     const HeatOptions& options);

}  // namespace ohmglow
