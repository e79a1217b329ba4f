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
// SEMI-THERM 1996, 169-182.
constexpr double kLaminateWMK = 0.81;

// A sum of lags, each behind the same part's lag.
class LagSum {
 public:
  LagSum(const Responses& responses, double part_lag_s)
      : responses_(responses),
        part_lag_s_(part_lag_s),
        sum_(Eigen::VectorXd::Zero(responses.lag_modes.rows())) {}

  void Add(double weight, double tau_s) {
    if (part_lag_s_ <= 0) return AddOne(weight, tau_s);
    // Two lags in a row are the difference of the two, by partial fractions;
    // equal ones are parted a little.
    if (std::abs(part_lag_s_ - tau_s) < 0.02 * tau_s) {
      const double other_s = 1.02 * tau_s;
      AddOne(weight * tau_s / (tau_s - other_s), tau_s);
      AddOne(-weight * other_s / (tau_s - other_s), other_s);
      return;
    }
    AddOne(weight * tau_s / (tau_s - part_lag_s_), tau_s);
    of_part_ -= weight * part_lag_s_ / (tau_s - part_lag_s_);
  }

  [[nodiscard]] const Eigen::VectorXd& Take() {
    if (of_part_ != 0) AddOne(of_part_, part_lag_s_);
    of_part_ = 0;
    return sum_;
  }

 private:
  void AddOne(double weight, double tau_s) {
    const Responses::Between at = responses_.At(tau_s);
    sum_ += weight * (1 - at.share) * responses_.lag_modes.col(at.low) +
            weight * at.share * responses_.lag_modes.col(at.low + 1);
  }

  const Responses& responses_;
  double part_lag_s_;
  double of_part_ = 0;  // The part's own lag, of all together.
  Eigen::VectorXd sum_;
};

}  // namespace

Responses::Between Responses::At(double tau_s) const {
  const double step = log_tau(1) - log_tau(0);
  const double at = std::clamp(
      (std::log(tau_s) - log_tau(0)) / step, 0.0, static_cast<double>(log_tau.size() - 1) - 1e-9);
  const auto low = static_cast<Eigen::Index>(at);
  return {low, at - static_cast<double>(low)};
}

Eigen::VectorXd Responses::LagModes(double tau_s) const {
  const Between at = At(tau_s);
  return (1 - at.share) * lag_modes.col(at.low) + at.share * lag_modes.col(at.low + 1);
}

Kernel Responses::MakeKernel(const PlateTrial& board,
                             double part_lag_s,
                             const Eigen::VectorXd& k_rad_m) const {
  const Eigen::Index num_modes = lag_modes.rows();
  Kernel kernel{board, part_lag_s, Eigen::MatrixXd(Kernel::kNumParts * num_modes, k_rad_m.size())};
  const Plate& plate = board.plate;
  Plate laminate = plate;
  laminate.sheet_conductance_w_k =
      std::min(plate.sheet_conductance_w_k, kLaminateWMK * plate.thickness_m);
  for (Eigen::Index i = 0; i < k_rad_m.size(); ++i) {
    const double k = k_rad_m(i);
    const auto add = [&](const Plate& slab, int n, double weight, LagSum& sum) {
      const double rate = slab.DecayRate(k, n);
      sum.Add(weight / (slab.heat_capacity_j_m2k * rate), 1 / rate);
    };
    // The quickest heat, all modes left out together.
    const auto add_rest = [&](const Plate& slab, double rest_s, LagSum& sum) {
      sum.Add(2 * rest_s / slab.heat_capacity_j_m2k, 1 / slab.DecayRate(k, kSlabModes + 1));
    };
    LagSum thin(*this, part_lag_s);
    add(plate, 0, 1, thin);
    // On the far side the odd modes have the other sign.
    std::array<LagSum, 2> higher = {LagSum(*this, part_lag_s), LagSum(*this, part_lag_s)};
    LagSum bare(*this, part_lag_s);
    for (int n = 1; n <= kSlabModes; ++n) {
      add(plate, n, 2, higher[static_cast<std::size_t>(n % 2)]);
      add(laminate, n, 2, bare);
    }
    const SlabTail tail = plate.TailAfter(k, kSlabModes);
    add_rest(plate, 0.5 * (tail.near_s + tail.far_s), higher[0]);
    add_rest(plate, 0.5 * (tail.near_s - tail.far_s), higher[1]);
    add_rest(laminate, laminate.TailAfter(k, kSlabModes).near_s, bare);
    const Eigen::VectorXd& even = higher[0].Take();
    const Eigen::VectorXd& odd = higher[1].Take();
    kernel.parts.col(i) << thin.Take(), even + odd, bare.Take(), even - odd;
  }
  return kernel;
}

void Responses::BuildKernels(std::span<const PlateTrial> boards, const Eigen::VectorXd& k_rad_m) {
  for (const PlateTrial& board : boards) {
    for (const double lag_s : kPartLagS) kernels.push_back(MakeKernel(board, lag_s, k_rad_m));
  }
}

}  // namespace ohmglow
