// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

#include "heat/drive.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// How the heat of one place goes with the supply.
struct CourseFit {
  double exponent = 2;        ///< Rise ~ current^exponent, most likely value.
  double exponent_sigma = 9;  ///< From the profile likelihood.
  double lag_s = 1;           ///< Best single lag at that exponent.
  double snr = 0;             ///< Amplitude over its standard error at exponent 2 or 1.
  /// Log likelihood ratios against heat that follows current squared, through
  /// two lags: positive speaks for the other explanation. BIC corrected.
  double log_junction = 0;   ///< Follows the current itself.
  double log_by_itself = 0;  ///< Switched on or off once, at any time.
  double log_smooth = 0;     ///< A smooth course with more freedom than drift.
};

/// Weighted mean course of the pixels around a place, Gaussian weights.
/// Noise is kept at that of one pixel: the mean is scaled by the square root
/// of the effective number of pixels.
[[nodiscard]] Eigen::VectorXd SpotCourse(const Eigen::MatrixXf& courses,
                                         const Mask& seen,
                                         Point center_px,
                                         double sigma_px);

/// Fits the course against the supply's steps and against what only looks
/// like them.
/// @param noise_k  of one pixel in one frame.
[[nodiscard]] CourseFit FitCourse(const Eigen::VectorXd& course,
                                  const TemporalModel& model,
                                  const Drive& drive,
                                  double noise_k);

}  // namespace ohmglow
