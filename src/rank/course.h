// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <memory>

#include "heat/drive.h"
#include "heat/source_courses.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// Of `CourseFit::log_junction`: above it a place counts as a junction.
inline constexpr double kJunctionLogRatio = 2;

/// How the heat of one place goes with the supply.
struct CourseFit {
  double exponent = 2;        ///< Rise ~ current^exponent; of `ExponentProfile`.
  double exponent_sigma = 9;  ///< From the profile likelihood.
  double lag_s = 1;           ///< Best single lag at that exponent.
  double snr = 0;             ///< Amplitude over its standard error at exponent 2 or 1.
  /// Logarithms of ratios of marginal likelihoods, averaged over what each
  /// explanation leaves open: positive speaks for it against heat that follows
  /// the current or its square, as some kind of source makes it.
  double log_by_itself = 0;  ///< Switched on or off once, at any time.
  double log_smooth = 0;     ///< A smooth course without steps.
  double log_junction = 0;   ///< Follows the current itself rather than its square.
};

/// Directions in which strong heat differs from all kinds of source, about; with it, of
/// 283 faults of simulated captures 96 % lie within two sigmas of their exponent (79 % with
/// as many directions as the course has).
inline constexpr double kMisfitDirections = 24;

/// So many of the larger of its two widths SpotCourse() reaches.
inline constexpr double kSpotReachSigmas = 2.5;

/// Mean course of the pixels around a place over that of its surroundings,
/// both with Gaussian weights: what spreads over the picture (a reflection, a
/// hand's warmth) drops out. Noise is kept at that of one pixel: the mean is
/// scaled by the square root of the effective number of pixels.
[[nodiscard]] Eigen::VectorXd SpotCourse(const Eigen::MatrixXf& courses,
                                         const Mask& seen,
                                         Point center_px,
                                         double sigma_px,
                                         double surroundings_px);

/// Heat of the supply by kind of source: weighted, nothing taken out, so that it serves
/// spots of all sizes.
struct HeatShapes {
  Eigen::MatrixXd linear;   ///< bins x kinds: follows the current ...
  Eigen::MatrixXd squared;  ///< ... or its square.
  Eigen::VectorXd lags_s;   ///< Typical lag of each kind.
};

[[nodiscard]] HeatShapes MakeHeatShapes(const TemporalModel& model,
                                        const Drive& drive,
                                        const SourceCourses& sources);

/// Fits courses against the supply's steps and against what only looks like
/// them.
class CourseModel {
 public:
  CourseModel(const TemporalModel& model, const HeatShapes& shapes);

  /// The same for heat of another drive.
  [[nodiscard]] CourseModel Under(const TemporalModel& model, const HeatShapes& shapes) const;

  /// All but the exponent.
  /// @param course   from `SpotCourse`.
  /// @param noise_k  of one pixel in one frame.
  [[nodiscard]] CourseFit Fit(const Eigen::VectorXd& course, double noise_k) const;

  /// Logarithms of marginal likelihoods, up to what both share: that a course
  /// follows the supply under the drive that the model was made with ...
  [[nodiscard]] double LogHeat(const Eigen::VectorXd& course, double noise_k) const;
  /// ... and that it is one of its own.
  [[nodiscard]] double LogOther(const Eigen::VectorXd& course, double noise_k) const;

 private:
  struct Hypothesis {
    double rest;      // of the best kind
    double lag_s;     // its lag
    double log_mean;  // of the likelihood over the kinds
  };
  // A course and the least that noise leaves of it.
  struct Seen {
    const Eigen::VectorXd& course;
    double floor;
    double degrees;  // of freedom: those of the noise, of strong heat those of the misfit
  };
  // Courses of what is no heat of the supply.
  struct Rivals {
    Eigen::MatrixXd onsets;  // bins x onsets, unit norm
    Eigen::MatrixXd smooth;  // bins x degrees, orthonormal
  };
  CourseModel(double degrees, std::shared_ptr<const Rivals> rivals)
      : degrees_(degrees), rivals_(std::move(rivals)) {}
  void SetHeat(const TemporalModel& model, const HeatShapes& shapes);
  [[nodiscard]] Seen WithModelError(const Eigen::VectorXd& course, double noise_k) const;
  [[nodiscard]] static double LogLikelihood(double rest, const Seen& seen);
  [[nodiscard]] Hypothesis OfKinds(const Seen& seen, const Eigen::MatrixXd& kinds) const;
  [[nodiscard]] double LogByItself(const Seen& seen) const;
  [[nodiscard]] double LogSmooth(const Seen& seen) const;

  double degrees_;
  std::shared_ptr<const Rivals> rivals_;
  Eigen::VectorXd kind_lag_s_;  // typical lag of each kind
  Eigen::MatrixXd linear_;      // bins x kinds, unit norm
  Eigen::MatrixXd squared_;
};

}  // namespace ohmglow
