// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/drive.h"
#include "heat/source_courses.h"
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
  /// Log likelihood ratios against heat that follows current squared, as some
  /// kind of source makes it: positive speaks for the other explanation. BIC corrected.
  double log_junction = 0;   ///< Follows the current itself.
  double log_by_itself = 0;  ///< Switched on or off once, at any time.
  double log_smooth = 0;     ///< A smooth course with more freedom than drift.
};

/// Mean course of the pixels around a place over that of its surroundings,
/// both with Gaussian weights: what spreads over the picture (a reflection, a
/// hand's warmth) drops out. Noise is kept at that of one pixel: the mean is
/// scaled by the square root of the effective number of pixels.
[[nodiscard]] Eigen::VectorXd SpotCourse(const Eigen::MatrixXf& courses,
                                         const Mask& seen,
                                         Point center_px,
                                         double sigma_px,
                                         double surroundings_px);

/// Fits courses against the supply's steps and against what only looks like
/// them.
class CourseModel {
 public:
  CourseModel(const TemporalModel& model, const Drive& drive, const SourceCourses& sources);

  /// @param course   from `SpotCourse`.
  /// @param noise_k  of one pixel in one frame.
  [[nodiscard]] CourseFit Fit(const Eigen::VectorXd& course, double noise_k) const;

 private:
  struct Hypothesis {
    double rest;
    double lag_s;
  };
  [[nodiscard]] Hypothesis BestKind(const Eigen::VectorXd& course, int exponent_index) const;
  void FitExponent(const Eigen::VectorXd& course, double floor, CourseFit& fit) const;

  const TemporalModel& model_;
  Eigen::VectorXd kind_lag_s_;          // typical lag of each kind
  std::vector<Eigen::MatrixXd> kinds_;  // per exponent: bins x kinds, unit norm
  Eigen::MatrixXd onsets_;              // bins x onsets, unit norm
  Eigen::MatrixXd smooth_;              // bins x degrees, orthonormal
  double degrees_;
};

}  // namespace ohmglow
