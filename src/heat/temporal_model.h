// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/drive.h"
#include "heat/stack.h"
#include "ohmglow/heat/heat_options.h"

namespace ohmglow {

/// Everything in a pixel's course in time that is not heat following the
/// supply: an offset per shutter segment, a smooth drift, and the frame's
/// motion (to first order in its shift, what registration left of an edge or
/// of the sensor's pattern). A course is a vector over the stack's bins,
/// weighted by the square root of the frames in a bin, so that white noise of
/// one frame has the same spread in every entry.
class TemporalModel {
 public:
  TemporalModel(const Stack& stack, const HeatOptions& options);

  /// Takes the nuisance out of a weighted course.
  [[nodiscard]] Eigen::VectorXd Project(const Eigen::VectorXd& course) const;

  /// The same for many courses, one a column, in place.
  void ProjectColumns(Eigen::Ref<Eigen::MatrixXf> courses) const;

  /// Bin means of a first-order lag's response to the drive; not weighted,
  /// not projected; relative to the final rise at the highest current.
  [[nodiscard]] Eigen::VectorXd BinnedLag(const Drive& drive, double tau_s, double exponent) const;

  /// Weighted and projected form of `BinnedLag`.
  [[nodiscard]] Eigen::VectorXd ProjectedLag(const Drive& drive,
                                             double tau_s,
                                             double exponent) const;

  /// Weighted course of any function of time sampled at the bins.
  [[nodiscard]] Eigen::VectorXd Weighted(const Eigen::VectorXd& course) const {
    return course.cwiseProduct(weight_);
  }

  [[nodiscard]] int num_bins() const { return static_cast<int>(weight_.size()); }
  [[nodiscard]] int num_nuisances() const { return static_cast<int>(nuisance_.cols()); }
  [[nodiscard]] const Eigen::VectorXd& weight() const { return weight_; }
  [[nodiscard]] const std::vector<double>& bin_times_s() const { return bin_times_s_; }

 private:
  Eigen::VectorXd weight_;
  Eigen::MatrixXd nuisance_;  // bins x nuisances, orthonormal
  std::vector<double> bin_times_s_;
  std::vector<double> frame_times_s_;  // of all frames, in order
  std::vector<int> bin_of_frame_;
  Eigen::VectorXd frames_in_bin_;
};

}  // namespace ohmglow
