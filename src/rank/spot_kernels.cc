// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_kernels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

namespace ohmglow {
namespace {

constexpr int kSlabModes = 6;
// Lateral conductance from bare laminate to four full planes [W/K].
constexpr double kLeastSheetWK = 0.0012;
constexpr double kMostSheetWK = 0.08;
constexpr int kNumSheets = 10;
constexpr std::array kPartLagS = {0.0, 0.4, 0.8, 1.5, 3.0, 6.0};
// Copper holds 3.44e6 J/(m3 K) and conducts 401 W/(m K) (Incropera et al.,
// Table A.1): heat capacity [J/(m2 K)] for each W/K of sheet conductance.
constexpr double kCapacityOfSheet = 3.44e6 / 401;
// Parts that stand on the board hold a tenth of its heat (common practice, no source).
constexpr double kCapacityOfParts = 1.1;

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

const Kernel& Responses::Middle() const {
  const std::size_t num_sheets = kernels.size() / kPartLagS.size();
  return kernels[num_sheets / 2 * kPartLagS.size()];
}

void Responses::BuildKernels(const PlatePrior& prior, const Eigen::VectorXd& k_rad_m) {
  std::vector<double> sheets;
  if (prior.sheet_known) {
    for (const double f : {0.8, 1.0, 1.25}) {
      sheets.push_back(f * prior.plate.sheet_conductance_w_k);
    }
  } else {
    for (int i = 0; i < kNumSheets; ++i) {
      sheets.push_back(kLeastSheetWK *
                       std::pow(kMostSheetWK / kLeastSheetWK, i / (kNumSheets - 1.0)));
    }
  }
  for (const double sheet : sheets) {
    Plate plate = prior.plate;
    plate.sheet_conductance_w_k = sheet;
    if (prior.bare_laminate) {
      plate.heat_capacity_j_m2k =
          kCapacityOfParts * (plate.heat_capacity_j_m2k + kCapacityOfSheet * sheet);
    }
    for (const double lag_s : kPartLagS) {
      Kernel kernel{sheet,
                    lag_s,
                    Eigen::MatrixXd::Zero(lag_modes.rows(), k_rad_m.size()),
                    Eigen::MatrixXd::Zero(lag_modes.rows(), k_rad_m.size()),
                    Eigen::MatrixXd::Zero(lag_modes.rows(), k_rad_m.size())};
      for (int i = 0; i < k_rad_m.size(); ++i) {
        for (int n = 0; n <= kSlabModes; ++n) {
          const double rate = plate.DecayRate(k_rad_m(i), n);
          const Eigen::VectorXd term =
              CascadeModes(1 / rate, lag_s) / (plate.heat_capacity_j_m2k * rate);
          if (n == 0) {
            kernel.thin.col(i) = term;
          } else {
            kernel.through.col(i) += 2 * term;
            kernel.far.col(i) += (n % 2 == 0 ? 2 : -2) * term;
          }
        }
        const SlabTail tail = plate.TailAfter(k_rad_m(i), kSlabModes);
        const Eigen::VectorXd quick =
            CascadeModes(1 / plate.DecayRate(k_rad_m(i), kSlabModes + 1), lag_s) /
            plate.heat_capacity_j_m2k;
        kernel.through.col(i) += 2 * tail.near_s * quick;
        kernel.far.col(i) += 2 * tail.far_s * quick;
      }
      kernels.push_back(std::move(kernel));
    }
  }
}

}  // namespace ohmglow
