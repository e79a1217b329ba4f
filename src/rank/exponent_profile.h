// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/drive.h"
#include "heat/source_courses.h"
#include "heat/temporal_model.h"

namespace ohmglow {

/// Courses of all kinds of sources for each exponent of the current that is tried: weighted,
/// nothing taken out, so that they serve spots of all sizes.
[[nodiscard]] std::vector<Eigen::MatrixXd> ShapesOfExponents(const TemporalModel& model,
                                                             const Drive& drive,
                                                             const SourceCourses& sources);

/// With which power of the current a place warms.
class ExponentProfile {
 public:
  /// @param shapes  of ShapesOfExponents().
  ExponentProfile(const TemporalModel& model, std::vector<Eigen::MatrixXd> shapes);

  struct Exponent {
    double value = 2;
    double sigma = 9;
  };
  /// First two moments of the profile likelihood.
  /// @param course   projected by the model.
  /// @param noise_k  of one pixel in one frame.
  [[nodiscard]] Exponent Fit(const Eigen::VectorXd& course, double noise_k) const;

 private:
  double degrees_;
  std::vector<Eigen::MatrixXd> kinds_;  // per exponent: bins x kinds, unit norm
};

}  // namespace ohmglow
