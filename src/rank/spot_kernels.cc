// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_kernels.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmglow {
namespace {

constexpr int kSlabModes = 6;
constexpr std::array kPartLagS = {0.0, 0.4, 0.8, 1.5, 3.0, 6.0};
// Along glass-epoxy laminate [W/(m K)]: Azar, Graebner, Proc. 12th IEEE
// SEMI-THERM 1996, 169-182 (check value M-F3).
constexpr double kLaminateWMK = 0.81;

}  // namespace

Eigen::VectorXd Responses::LagModes(double tau_s) const {
  const double step = log_tau(1) - log_tau(0);
  const double at = std::clamp(
      (std::log(tau_s) - log_tau(0)) / step, 0.0, static_cast<double>(log_tau.size() - 1) - 1e-9);
  const auto low = static_cast<Eigen::Index>(at);
  const double share = at - static_cast<double>(low);
  return (1 - share) * lag_modes.col(low) + share * lag_modes.col(low + 1);
}

Eigen::VectorXd Responses::CascadeModes(double tau_s, double part_lag_s) const {
  if (part_lag_s <= 0) return LagModes(tau_s);
  // Two lags in a row are the difference of the two, by partial fractions;
  // equal ones are parted a little.
  double other_s = part_lag_s;
  if (std::abs(other_s - tau_s) < 0.02 * tau_s) other_s = 1.02 * tau_s;
  return (tau_s * LagModes(tau_s) - other_s * LagModes(other_s)) / (tau_s - other_s);
}

Kernel Responses::MakeKernel(const PlateTrial& board,
                             double part_lag_s,
                             const Eigen::VectorXd& k_rad_m) const {
  const Eigen::MatrixXd zero = Eigen::MatrixXd::Zero(lag_modes.rows(), k_rad_m.size());
  Kernel kernel{board, part_lag_s, zero, zero, zero, zero};
  const Plate& plate = board.plate;
  Plate laminate = plate;
  laminate.sheet_conductance_w_k =
      std::min(plate.sheet_conductance_w_k, kLaminateWMK * plate.thickness_m);
  for (int i = 0; i < k_rad_m.size(); ++i) {
    const double k = k_rad_m(i);
    const auto mode = [&](const Plate& slab, int n) -> Eigen::VectorXd {
      const double rate = slab.DecayRate(k, n);
      return CascadeModes(1 / rate, part_lag_s) / (slab.heat_capacity_j_m2k * rate);
    };
    // The quickest heat, all modes left out together.
    const auto quick = [&](const Plate& slab) -> Eigen::VectorXd {
      return CascadeModes(1 / slab.DecayRate(k, kSlabModes + 1), part_lag_s) /
             slab.heat_capacity_j_m2k;
    };
    kernel.thin.col(i) = mode(plate, 0);
    for (int n = 1; n <= kSlabModes; ++n) {
      const Eigen::VectorXd term = mode(plate, n);
      kernel.through.col(i) += 2 * term;
      kernel.far.col(i) += (n % 2 == 0 ? 2 : -2) * term;
      kernel.bare.col(i) += 2 * mode(laminate, n);
    }
    const SlabTail tail = plate.TailAfter(k, kSlabModes);
    kernel.through.col(i) += 2 * tail.near_s * quick(plate);
    kernel.far.col(i) += 2 * tail.far_s * quick(plate);
    kernel.bare.col(i) += 2 * laminate.TailAfter(k, kSlabModes).near_s * quick(laminate);
  }
  return kernel;
}

void Responses::BuildKernels(std::span<const PlateTrial> boards, const Eigen::VectorXd& k_rad_m) {
  for (const PlateTrial& board : boards) {
    for (const double lag_s : kPartLagS) kernels.push_back(MakeKernel(board, lag_s, k_rad_m));
  }
}

}  // namespace ohmglow
