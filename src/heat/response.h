// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/drive.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/image.h"
#include "ohmglow/heat/heat_options.h"

namespace ohmglow {

/// What follows the supply's steps, pixel by pixel.
struct Response {
  /// Bins x pixels (row-major pixels): weighted, nuisance and common offset
  /// of the frames taken out [K].
  Eigen::MatrixXf courses;
  std::vector<double> lags_s;  ///< First-order lags tried at every pixel.
  Image noise_k;               ///< Standard deviation of one pixel in one frame, local.
  double noise_median_k = 0;
  double noise_rise_k = 0;  ///< Of `rise_k`, at a middling lag.
  Image rise_k;             ///< Heat at the end of the highest current over the baseline.
  Image z;                  ///< Best signal-to-noise ratio over lags and spot sizes.
  Image best_lag_s;
  Image static_k;  ///< The picture before the heating.
  Mask seen;
};

/// Weighted, projected courses of all pixels with the frames' common offset
/// (camera drift, shutter steps) taken out: its median over the pixels that
/// answer least.
[[nodiscard]] Eigen::MatrixXf PixelCourses(const Stack& stack, const TemporalModel& model);

/// Removes the common offset: median over the quarter of the pixels whose
/// course has least of the drive's lags in it.
void RemoveCommonOffset(Eigen::MatrixXf& courses,
                        const TemporalModel& model,
                        const Drive& drive,
                        const Mask& seen);

/// Fits every pixel against lags of the drive.
///
/// z is a generalised likelihood ratio: for each lag and each spot size the
/// amplitude over its standard error, white noise and what a registration
/// error makes of the static picture's slope counted together; the best of
/// them stands.
[[nodiscard]] Response FitResponse(Eigen::MatrixXf courses,
                                   const Stack& stack,
                                   const TemporalModel& model,
                                   const Drive& drive,
                                   const HeatOptions& options);

}  // namespace ohmglow
