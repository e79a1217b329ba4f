// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/temporal_model.h"

#include <algorithm>
#include <cmath>

#include "base/decompose.h"
#include "heat/directions.h"

namespace ohmglow {
namespace {

// A shift that varies less than this teaches nothing and would only cost a
// degree of freedom.
constexpr double kLeastMotionSdPx = 0.05;

}  // namespace

Eigen::MatrixXd MotionCourses(const Stack& stack) {
  const int num_bins = stack.size();
  Eigen::MatrixXd shift(num_bins, 2);
  for (int b = 0; b < num_bins; ++b) {
    const std::vector<Similarity>& poses = stack.poses[static_cast<std::size_t>(b)];
    Eigen::RowVector2d mean = Eigen::RowVector2d::Zero();
    for (const Similarity& pose : poses) mean += Eigen::RowVector2d(pose.dx_px, pose.dy_px);
    shift.row(b) = mean / static_cast<double>(poses.size());
  }
  shift.rowwise() -= shift.colwise().mean();
  Eigen::MatrixXd kept(num_bins, 0);
  for (int axis = 0; axis < 2; ++axis) {
    const double sd_px = std::sqrt(shift.col(axis).squaredNorm() / num_bins);
    if (sd_px < kLeastMotionSdPx) continue;
    kept.conservativeResize(Eigen::NoChange, kept.cols() + 1);
    kept.col(kept.cols() - 1) = shift.col(axis) / sd_px;
  }
  return kept;
}

TemporalModel::TemporalModel(const Stack& stack) : bin_times_s_(stack.time_s) {
  const int num_bins = stack.size();
  weight_.resize(num_bins);
  frames_in_bin_.resize(num_bins);
  for (int b = 0; b < num_bins; ++b) {
    const auto i = static_cast<std::size_t>(b);
    frames_in_bin_(b) = static_cast<double>(stack.frame_times_s[i].size());
    weight_(b) = std::sqrt(frames_in_bin_(b));
    for (const double t : stack.frame_times_s[i]) {
      frame_times_s_.push_back(t);
      bin_of_frame_.push_back(b);
    }
  }
  soft_basis_.resize(num_bins, 0);
  granted_.resize(num_bins, 0);
}

TemporalModel TemporalModel::OffsetAlone(const Stack& stack) {
  TemporalModel model(stack);
  model.TakeOut(Eigen::MatrixXd::Ones(stack.size(), 1));
  return model;
}

TemporalModel::TemporalModel(const Stack& stack, const HeatOptions& options)
    : TemporalModel(stack) {
  const int num_bins = stack.size();
  const int num_segments = stack.segment.back() - stack.segment.front() + 1;
  const Eigen::MatrixXd motion = MotionCourses(stack);
  Eigen::MatrixXd basis(num_bins, num_segments + options.drift_order + motion.cols());
  const double first_s = bin_times_s_.front();
  const double span_s = std::max(bin_times_s_.back() - first_s, 1e-9);
  for (int b = 0; b < num_bins; ++b) {
    const auto i = static_cast<std::size_t>(b);
    for (int s = 0; s < num_segments; ++s) {
      basis(b, s) = stack.segment[i] - stack.segment.front() == s ? 1 : 0;
    }
    const double x = 2 * (bin_times_s_[i] - first_s) / span_s - 1;
    for (int k = 1; k <= options.drift_order; ++k) basis(b, num_segments + k - 1) = std::pow(x, k);
  }
  basis.rightCols(motion.cols()) = motion;
  TakeOut(basis);
}

void TemporalModel::TakeOut(const Eigen::MatrixXd& courses) {
  nuisance_ = Orthonormal(weight_.asDiagonal() * courses);
}

void TemporalModel::Soften(const Eigen::MatrixXd& basis, const Eigen::MatrixXd& covariance) {
  const SymmetricModes<double> modes = ModesOf(covariance);
  const Eigen::MatrixXd inverse_root = modes.vectors *
                                       modes.values.cwiseInverse().cwiseSqrt().asDiagonal() *
                                       modes.vectors.transpose();
  soft_basis_ = basis;
  soft_shrink_ = Eigen::MatrixXd::Identity(basis.cols(), basis.cols()) - inverse_root;
}

TemporalModel TemporalModel::Resoftened(const Eigen::MatrixXd& covariance) const {
  TemporalModel other = *this;
  other.granted_.resize(weight_.size(), 0);
  if (soft_basis_.cols() > 0) other.Soften(soft_basis_, covariance);
  return other;
}

Eigen::VectorXd TemporalModel::Restore(const Eigen::VectorXd& projected) const {
  if (soft_basis_.cols() == 0) return projected;
  const Eigen::MatrixXd kept =
      Eigen::MatrixXd::Identity(soft_basis_.cols(), soft_basis_.cols()) - soft_shrink_;
  const Eigen::VectorXd modes = soft_basis_.transpose() * projected;
  return projected + soft_basis_ * (SolveSymmetric(kept, modes) - modes);
}

void TemporalModel::Grant(const Eigen::MatrixXd& courses) {
  Eigen::MatrixXd shrunk(courses.rows(), courses.cols());
  for (Eigen::Index i = 0; i < courses.cols(); ++i) shrunk.col(i) = Project(courses.col(i));
  granted_ = Orthonormal(shrunk.colwise().normalized());
}

int TemporalModel::num_nuisances() const {
  double taken = static_cast<double>(nuisance_.cols() + granted_.cols());
  if (soft_basis_.cols() > 0) {
    const Eigen::MatrixXd kept =
        Eigen::MatrixXd::Identity(soft_basis_.cols(), soft_basis_.cols()) - soft_shrink_;
    taken += static_cast<double>(soft_basis_.cols()) - kept.squaredNorm();
  }
  return static_cast<int>(std::lround(taken));
}

Eigen::VectorXd TemporalModel::Project(const Eigen::VectorXd& course) const {
  const Eigen::VectorXd rest = course - nuisance_ * (nuisance_.transpose() * course);
  if (soft_basis_.cols() == 0) return rest;
  const Eigen::VectorXd shrunk =
      rest - soft_basis_ * (soft_shrink_ * (soft_basis_.transpose() * rest));
  return shrunk - granted_ * (granted_.transpose() * shrunk);
}

template <typename Matrix>
void TemporalModel::ProjectInPlace(Eigen::Ref<Matrix> courses) const {
  using Scalar = typename Matrix::Scalar;
  const Matrix q = nuisance_.cast<Scalar>();
  courses -= q * (q.transpose() * courses).eval();
  if (soft_basis_.cols() == 0) return;
  const Matrix soft = soft_basis_.cast<Scalar>();
  const Matrix taken = (soft_basis_ * soft_shrink_).template cast<Scalar>();
  courses -= taken * (soft.transpose() * courses).eval();
  const Matrix granted = granted_.cast<Scalar>();
  courses -= granted * (granted.transpose() * courses).eval();
}

void TemporalModel::ProjectColumns(Eigen::Ref<Eigen::MatrixXf> courses) const {
  ProjectInPlace<Eigen::MatrixXf>(courses);
}

void TemporalModel::ProjectColumns(Eigen::Ref<Eigen::MatrixXd> courses) const {
  ProjectInPlace<Eigen::MatrixXd>(courses);
}

std::vector<Eigen::MatrixXd> TemporalModel::BinnedLags(const Drive& drive,
                                                       const Eigen::VectorXd& lags_s,
                                                       std::span<const double> exponents) const {
  std::vector<Eigen::MatrixXd> sums(exponents.size(),
                                    Eigen::MatrixXd::Zero(lags_s.size(), num_bins()));
  drive.LagResponses(
      frame_times_s_, lags_s, exponents, [&](std::size_t frame, const Eigen::ArrayXXd& y) {
        for (std::size_t e = 0; e < sums.size(); ++e) {
          sums[e].col(bin_of_frame_[frame]) += y.col(static_cast<Eigen::Index>(e)).matrix();
        }
      });
  for (Eigen::MatrixXd& sum : sums) {
    sum = (sum * frames_in_bin_.cwiseInverse().asDiagonal()).transpose().eval();
  }
  return sums;
}

Eigen::VectorXd TemporalModel::BinnedLag(const Drive& drive, double tau_s, double exponent) const {
  return BinnedLags(drive, Eigen::VectorXd::Constant(1, tau_s), {&exponent, 1}).front();
}

Eigen::VectorXd TemporalModel::ProjectedLag(const Drive& drive,
                                            double tau_s,
                                            double exponent) const {
  return Project(Weighted(BinnedLag(drive, tau_s, exponent)));
}

Eigen::MatrixXd TemporalModel::ProjectedLags(const Drive& drive,
                                             const Eigen::VectorXd& lags_s,
                                             double exponent) const {
  Eigen::MatrixXd lags = weight_.asDiagonal() * BinnedLags(drive, lags_s, {&exponent, 1}).front();
  ProjectColumns(lags);
  return lags;
}

}  // namespace ohmglow
