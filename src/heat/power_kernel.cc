// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/power_kernel.h"

#include <algorithm>
#include <cmath>

#include "base/decompose.h"

namespace ohmglow {
namespace {

constexpr int kNumLags = 56;
constexpr double kQuickestS = 0.01;
constexpr int kNumFrequencies = 72;
constexpr int kSlabModes = 6;
// Share of the kernels' energy that the modes left out may carry.
constexpr double kLeftOut = 1e-3;
constexpr Eigen::Index kMostModes = 6;

// Projected responses of first-order lags, linear in the logarithm between.
struct LagTable {
  Eigen::VectorXd log_tau;
  Eigen::MatrixXd courses;  // bins x lags

  [[nodiscard]] Eigen::VectorXd At(double tau_s) const {
    const double step = log_tau(1) - log_tau(0);
    const double at = std::clamp(
        (std::log(tau_s) - log_tau(0)) / step, 0.0, static_cast<double>(kNumLags - 1) - 1e-9);
    const auto low = static_cast<Eigen::Index>(at);
    const double share = at - static_cast<double>(low);
    return (1 - share) * courses.col(low) + share * courses.col(low + 1);
  }

  // Two lags in a row, by partial fractions; equal ones are parted a little.
  [[nodiscard]] Eigen::VectorXd Behind(double part_lag_s, double tau_s) const {
    if (part_lag_s <= 0) return At(tau_s);
    double other_s = part_lag_s;
    if (std::abs(other_s - tau_s) < 0.05 * tau_s) other_s = 1.05 * tau_s;
    return (tau_s * At(tau_s) - other_s * At(other_s)) / (tau_s - other_s);
  }
};

LagTable TabulateLags(const TemporalModel& model, const Drive& drive, const Plate& plate) {
  const double slowest_s = 1.2 * plate.heat_capacity_j_m2k / plate.film_w_m2k;
  const Eigen::VectorXd log_tau =
      Eigen::VectorXd::LinSpaced(kNumLags, std::log(kQuickestS), std::log(slowest_s));
  return {log_tau, model.ProjectedLags(drive, log_tau.array().exp(), 2)};
}

// The modes that carry all but a sliver of the kernels' energy over the plane.
Eigen::MatrixXd LeadingModes(const Eigen::MatrixXd& near,
                             const Eigen::MatrixXd& far,
                             const Eigen::VectorXd& k_rad_m) {
  // Frequencies are even in the logarithm: the area of a ring goes as k^2.
  const Eigen::VectorXd area = k_rad_m.array().square();
  const Eigen::MatrixXd energy =
      near * area.asDiagonal() * near.transpose() + far * area.asDiagonal() * far.transpose();
  const SymmetricModes<double> modes = ModesOf(energy);
  const Eigen::VectorXd values = modes.values.reverse().cwiseMax(0);
  Eigen::Index kept = 1;
  double carried = values(0);
  while (kept < std::min(kMostModes, values.size()) && carried < (1 - kLeftOut) * values.sum()) {
    carried += values(kept++);
  }
  return modes.vectors.rightCols(kept).rowwise().reverse();
}

}  // namespace

PowerKernel MakePowerKernel(const TemporalModel& model,
                            const Drive& drive,
                            const Plate& plate,
                            const SourceFeed& source,
                            double least_k_rad_m,
                            double most_k_rad_m) {
  const LagTable table = TabulateLags(model, drive, plate);
  PowerKernel kernel;
  kernel.k_rad_m =
      Eigen::VectorXd::LinSpaced(kNumFrequencies, std::log(least_k_rad_m), std::log(most_k_rad_m))
          .array()
          .exp();
  kernel.near.resize(model.num_bins(), kNumFrequencies);
  kernel.far.resize(model.num_bins(), kNumFrequencies);
  for (Eigen::Index i = 0; i < kNumFrequencies; ++i) {
    const double k = kernel.k_rad_m(i);
    const SlabTail tail = plate.TailAfter(k, kSlabModes);
    const Eigen::VectorXd quick = table.Behind(source.part_lag_s, std::exp(table.log_tau(0)));
    kernel.near.col(i) = 2 * source.near_share * tail.near_s * quick;
    kernel.far.col(i) = 2 * tail.far_s * quick;
    for (int n = 0; n <= kSlabModes; ++n) {
      const double rate = plate.DecayRate(k, n);
      const Eigen::VectorXd term =
          (n == 0 ? 1 : 2) / rate * table.Behind(source.part_lag_s, 1 / rate);
      kernel.near.col(i) += (n == 0 ? 1 : source.near_share) * term;
      kernel.far.col(i) += (n % 2 == 0 ? 1 : -1) * term;
    }
  }
  kernel.near /= plate.heat_capacity_j_m2k;
  kernel.far /= plate.heat_capacity_j_m2k;
  // First an orthonormal basis of the few dimensions that the lags span.
  const SymmetricModes<double> gram =
      ModesOf(Eigen::MatrixXd(table.courses.transpose() * table.courses));
  const double least = 1e-10 * gram.values.maxCoeff();
  const Eigen::Index rank = std::max<Eigen::Index>(1, (gram.values.array() > least).count());
  const Eigen::MatrixXd span =
      table.courses * gram.vectors.rightCols(rank) *
      gram.values.tail(rank).cwiseMax(1e-300).cwiseSqrt().cwiseInverse().asDiagonal();
  const Eigen::MatrixXd leading =
      LeadingModes(span.transpose() * kernel.near, span.transpose() * kernel.far, kernel.k_rad_m);
  kernel.basis = span * leading;
  kernel.near = (kernel.basis.transpose() * kernel.near).eval();
  kernel.far = (kernel.basis.transpose() * kernel.far).eval();
  return kernel;
}

}  // namespace ohmglow
