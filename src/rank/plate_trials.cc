// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/plate_trials.h"

#include <array>
#include <cmath>

namespace ohmglow {
namespace {

// Lateral conductance from bare laminate to four full planes [W/K].
constexpr double kLeastSheetWK = 0.0012;
constexpr double kMostSheetWK = 0.08;
constexpr int kNumSheets = 10;
// Sheet conductance of a populated board before looking: four layers of 35 um,
// half of them planes; log-normal.
constexpr double kUsualSheetWK = 0.02;
constexpr double kSheetLogSigma = 0.5;
// Copper holds 3.44e6 J/(m3 K) and conducts 401 W/(m K) (Incropera et al.,
// Table A.1): heat capacity [J/(m2 K)] for each W/K of sheet conductance.
constexpr double kCapacityOfSheet = 3.44e6 / 401;
// Parts that stand on the board hold a tenth of its heat (common practice, no source).
constexpr double kCapacityOfParts = 1.1;
// Spread of laminates' heat capacity and of film coefficients in still air, log-normal:
// 1.6 to 2.3e6 J/(m3 K) (see plate.h) and one face 6 to 14 W/(m2 K) (common practice, no source).
constexpr double kCapacityLogSigma = kCapacityLogStep;
constexpr double kFilmLogSigma = kFilmLogStep;
constexpr std::array kOffSigmas = {-2.0, -1.0, 0.0, 1.0, 2.0};

double LogPriorOfSheet(double sheet_w_k) {
  const double off = std::log(sheet_w_k / kUsualSheetWK) / kSheetLogSigma;
  return -0.5 * off * off;
}

Plate WithSheet(const PlatePrior& prior, double sheet_w_k) {
  Plate plate = prior.plate;
  plate.sheet_conductance_w_k = sheet_w_k;
  if (prior.bare_laminate) {
    plate.heat_capacity_j_m2k =
        kCapacityOfParts * (plate.heat_capacity_j_m2k + kCapacityOfSheet * sheet_w_k);
  }
  return plate;
}

}  // namespace

std::vector<PlateTrial> SheetTrials(const PlatePrior& prior) {
  std::vector<PlateTrial> trials;
  if (prior.sheet_known) {
    for (const double f : {0.8, 1.0, 1.25}) {
      trials.push_back({WithSheet(prior, f * prior.plate.sheet_conductance_w_k), 0});
    }
    return trials;
  }
  for (int i = 0; i < kNumSheets; ++i) {
    const double sheet_w_k =
        kLeastSheetWK * std::pow(kMostSheetWK / kLeastSheetWK, i / (kNumSheets - 1.0));
    trials.push_back({WithSheet(prior, sheet_w_k), LogPriorOfSheet(sheet_w_k)});
  }
  return trials;
}

std::vector<PlateTrial> PlateTrials(const PlatePrior& prior) {
  // A capacity that was given is not for the heat to tell.
  const double capacity_sigma = prior.bare_laminate ? kCapacityLogSigma : 0;
  std::vector<PlateTrial> trials;
  for (const PlateTrial& sheet : SheetTrials(prior)) {
    for (const double capacity : kOffSigmas) {
      if (capacity_sigma == 0 && capacity != 0) continue;
      for (const double film : kOffSigmas) {
        PlateTrial trial = sheet;
        trial.plate.heat_capacity_j_m2k *= std::exp(capacity * capacity_sigma);
        trial.plate.film_w_m2k *= std::exp(film * kFilmLogSigma);
        trial.log_prior -= 0.5 * (capacity * capacity + film * film);
        trials.push_back(trial);
      }
    }
  }
  return trials;
}

}  // namespace ohmglow
