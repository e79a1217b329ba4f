// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

#include "heat/drive.h"
#include "heat/plate.h"
#include "heat/temporal_model.h"

namespace ohmglow {

/// How a source feeds the slab.
struct SourceFeed {
  /// Share of the slab's higher modes that a near source makes, 0 .. 1: copper
  /// under the surface spreads the early heat.
  double near_share = 1;
  double part_lag_s = 0;  ///< Lag of the part between source and surface; >= 0.
};

/// What one watt (at the highest current, ~ current^2) in a point makes of each
/// spatial frequency, in the few directions in time that carry it.
struct PowerKernel {
  Eigen::MatrixXd basis;    ///< Bins x modes, orthonormal, in the model's projected sense.
  Eigen::VectorXd k_rad_m;  ///< Table of spatial frequencies, evenly spaced in the logarithm.
  Eigen::MatrixXd near;     ///< Modes x table [K m2/W]: source on the face that is seen.
  Eigen::MatrixXd far;      ///< The same, source on the other face.
};

/// The slab's cosine modes with their tail in closed form, near as 1 + 2 sum,
/// far as 1 + 2 sum (-1)^n (Carslaw, Jaeger 1959, 3.4 and 10.3). Neither blur
/// nor source size is in it.
/// @param source  what lies between the source and the slab.
/// @param least_k_rad_m, most_k_rad_m  range of the table.
[[nodiscard]] PowerKernel MakePowerKernel(const TemporalModel& model,
                                          const Drive& drive,
                                          const Plate& plate,
                                          const SourceFeed& source,
                                          double least_k_rad_m,
                                          double most_k_rad_m);

}  // namespace ohmglow
