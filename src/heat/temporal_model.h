// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <span>
#include <vector>

#include "heat/drive.h"
#include "heat/stack.h"
#include "ohmglow/heat/heat_options.h"

namespace ohmglow {

/// Mean shift of each bin's frames over the capture's mean, a column of unit
/// spread for each axis that moves at all: bins x 0 .. 2.
[[nodiscard]] Eigen::MatrixXd MotionCourses(const Stack& stack);

/// Everything in a pixel's course in time that is not heat following the
/// supply. A course is a vector over the stack's bins, weighted by the square
/// root of the frames in a bin, so that white noise of one frame has the same
/// spread in every entry.
class TemporalModel {
 public:
  /// Each pixel may have, of any size, an offset per shutter segment, a smooth
  /// drift, and the frame's motion (to first order in its shift, what
  /// registration left of an edge or of the sensor's pattern). That is safe
  /// and dear: slow steps look much like a cubic.
  TemporalModel(const Stack& stack, const HeatOptions& options);

  /// Each pixel may have an offset of any size; what else it may hold is said
  /// by Soften().
  [[nodiscard]] static TemporalModel OffsetAlone(const Stack& stack);

  /// Says how large other courses usually are: Project() then shrinks what
  /// they would explain, so that the background's spread is that of white
  /// noise in every direction.
  /// @param basis       bins x modes, orthonormal, orthogonal to the offset.
  /// @param covariance  modes x modes, white noise counted as 1; every eigenvalue >= 1.
  void Soften(const Eigen::MatrixXd& basis, const Eigen::MatrixXd& covariance);

  /// The same model with another covariance of the same modes: that of spots
  /// of another size. What was granted is not.
  [[nodiscard]] TemporalModel Resoftened(const Eigen::MatrixXd& covariance) const;

  /// A course that Project() shrank as it was before, but for the offset.
  /// Nothing must have been granted.
  [[nodiscard]] Eigen::VectorXd Restore(const Eigen::VectorXd& projected) const;

  /// Grants every pixel these courses at any size as well, as the first
  /// constructor does; after Soften(). For heat so strong that it needs no more
  /// than its steps.
  /// @param courses  bins x courses, weighted, not projected.
  void Grant(const Eigen::MatrixXd& courses);

  /// Takes the nuisance out of a weighted course, or shrinks it.
  [[nodiscard]] Eigen::VectorXd Project(const Eigen::VectorXd& course) const;

  /// The same for many courses, one a column, in place.
  void ProjectColumns(Eigen::Ref<Eigen::MatrixXf> courses) const;
  void ProjectColumns(Eigen::Ref<Eigen::MatrixXd> courses) const;

  /// Bin means of a first-order lag's response to the drive; not weighted,
  /// not projected; relative to the final rise at the highest current.
  [[nodiscard]] Eigen::VectorXd BinnedLag(const Drive& drive, double tau_s, double exponent) const;

  /// The same for many lags at once, which is several times quicker.
  /// @returns  for each exponent bins x lags.
  [[nodiscard]] std::vector<Eigen::MatrixXd> BinnedLags(const Drive& drive,
                                                        const Eigen::VectorXd& lags_s,
                                                        std::span<const double> exponents) const;

  /// Weighted and projected form of `BinnedLag`.
  [[nodiscard]] Eigen::VectorXd ProjectedLag(const Drive& drive,
                                             double tau_s,
                                             double exponent) const;
  /// The same for many lags at once: bins x lags.
  [[nodiscard]] Eigen::MatrixXd ProjectedLags(const Drive& drive,
                                              const Eigen::VectorXd& lags_s,
                                              double exponent) const;

  /// Weighted course of any function of time sampled at the bins.
  [[nodiscard]] Eigen::VectorXd Weighted(const Eigen::VectorXd& course) const {
    return course.cwiseProduct(weight_);
  }

  [[nodiscard]] int num_bins() const { return static_cast<int>(weight_.size()); }
  /// Degrees of freedom that the nuisance takes, those of shrunk courses in part.
  [[nodiscard]] int num_nuisances() const;
  [[nodiscard]] const Eigen::VectorXd& weight() const { return weight_; }
  [[nodiscard]] const std::vector<double>& bin_times_s() const { return bin_times_s_; }

 private:
  explicit TemporalModel(const Stack& stack);
  void TakeOut(const Eigen::MatrixXd& courses);
  template <typename Matrix>
  void ProjectInPlace(Eigen::Ref<Matrix> courses) const;

  Eigen::VectorXd weight_;
  Eigen::MatrixXd nuisance_;     // bins x nuisances, orthonormal
  Eigen::MatrixXd soft_basis_;   // bins x modes, orthonormal
  Eigen::MatrixXd soft_shrink_;  // modes x modes: what is taken off
  Eigen::MatrixXd granted_;      // bins x courses, orthonormal, shrunk as courses are
  std::vector<double> bin_times_s_;
  std::vector<double> frame_times_s_;  // of all frames, in order
  std::vector<int> bin_of_frame_;
  Eigen::VectorXd frames_in_bin_;
};

}  // namespace ohmglow
