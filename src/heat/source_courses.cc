// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/source_courses.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace ohmglow {
namespace {

constexpr int kNumLags = 40;
constexpr double kQuickestS = 0.02;
constexpr double kSlowestS = 400;
constexpr int kNumFrequencies = 60;
constexpr int kSlabModes = 6;
constexpr std::array kSheetsWK = {0.003, 0.01, 0.03};
constexpr std::array kSourcesMm = {0.5, 2.0, 4.0};
constexpr std::array kPartLagsS = {0.0, 0.7, 2.0};
// Share of the slab's higher modes seen: negative for the far side.
constexpr std::array kThroughShares = {0.0, 0.5, -1.0};

// Adds one lag to a mixture, shared by the two nearest of the table.
void AddLag(const Eigen::VectorXd& log_lags,
            double lag_s,
            double weight,
            Eigen::VectorXd& mixture) {
  const double step = log_lags(1) - log_lags(0);
  const double at = std::clamp(
      (std::log(lag_s) - log_lags(0)) / step, 0.0, static_cast<double>(kNumLags - 1) - 1e-9);
  const auto low = static_cast<Eigen::Index>(at);
  const double share = at - static_cast<double>(low);
  mixture(low) += (1 - share) * weight;
  mixture(low + 1) += share * weight;
}

// What of a spatial frequency is seen: the difference of two Gaussian means.
struct Band {
  double inner_m = 0;
  double outer_m = 1e9;
  [[nodiscard]] double Passes(double k) const {
    const auto mean = [k](double size_m) { return std::exp(-0.5 * size_m * size_m * k * k); };
    return mean(inner_m) - mean(outer_m);
  }
};

struct Kind {
  double sheet_w_k;
  double source_mm;
  double part_lag_s;
  double through;
};

Eigen::VectorXd MixtureOf(const Kind& kind,
                          Plate plate,
                          const Band& band,
                          const Eigen::VectorXd& log_lags) {
  plate.sheet_conductance_w_k = kind.sheet_w_k;
  Eigen::VectorXd mixture = Eigen::VectorXd::Zero(kNumLags);
  const double first = std::log(20.0);
  const double step = (std::log(6000.0) - first) / (kNumFrequencies - 1);
  const double size_m = 1e-3 * kind.source_mm;
  for (int i = 0; i < kNumFrequencies; ++i) {
    const double k = std::exp(first + i * step);
    const double shape = k * k * std::exp(-0.5 * size_m * size_m * k * k) * band.Passes(k);
    const SlabTail tail = plate.TailAfter(k, kSlabModes);
    for (int n = 0; n <= kSlabModes + 1; ++n) {
      const double rate = plate.DecayRate(k, n);
      double weight = shape / rate;
      if (n > kSlabModes) {
        weight = 2 * shape * std::abs(kind.through) * (kind.through < 0 ? tail.far_s : tail.near_s);
      } else if (n > 0) {
        const double sign = kind.through < 0 && n % 2 == 1 ? -1 : 1;
        weight *= 2 * sign * std::abs(kind.through);
      }
      if (kind.part_lag_s <= 0) {
        AddLag(log_lags, 1 / rate, weight, mixture);
        continue;
      }
      // Two lags in a row, by partial fractions; equal ones are parted a little.
      double own_s = 1 / rate;
      if (std::abs(own_s - kind.part_lag_s) < 0.05 * own_s) own_s = 1.05 * kind.part_lag_s;
      const double spread_s = own_s - kind.part_lag_s;
      AddLag(log_lags, own_s, weight * own_s / spread_s, mixture);
      AddLag(log_lags, kind.part_lag_s, -weight * kind.part_lag_s / spread_s, mixture);
    }
  }
  return mixture.normalized();
}

struct Choice {
  std::vector<double> sheets_w_k;
  std::vector<double> sources_mm;
  std::vector<double> part_lags_s;
  std::vector<double> throughs;
};

// When each of the mixtures has half of its rise after 5 s.
Eigen::VectorXd HalvesOf5S(const Eigen::VectorXd& lags_s, const Eigen::MatrixXd& mixtures) {
  constexpr int kNumTimes = 250;
  constexpr double kStepS = 5.0 / kNumTimes;
  Eigen::MatrixXd of_lags(kNumTimes, lags_s.size());
  for (int i = 0; i < kNumTimes; ++i) {
    of_lags.row(i) = 1 - (-(i + 1) * kStepS / lags_s.array()).exp().transpose();
  }
  const Eigen::MatrixXd rises = of_lags * mixtures;
  Eigen::VectorXd halves_s(mixtures.cols());
  for (Eigen::Index m = 0; m < mixtures.cols(); ++m) {
    Eigen::Index i = 0;
    while (i + 1 < kNumTimes && rises(i, m) < 0.5 * rises(kNumTimes - 1, m)) ++i;
    halves_s(m) = static_cast<double>(i + 1) * kStepS;
  }
  return halves_s;
}

SourceCourses Make(const Plate& plate, const Band& band, const Choice& choice) {
  SourceCourses courses;
  const Eigen::VectorXd log_lags =
      Eigen::VectorXd::LinSpaced(kNumLags, std::log(kQuickestS), std::log(kSlowestS));
  courses.lags_s = log_lags.array().exp();
  courses.board_s = plate.heat_capacity_j_m2k / plate.film_w_m2k;
  std::vector<Eigen::VectorXd> mixtures;
  for (const double sheet_w_k : choice.sheets_w_k) {
    for (const double source_mm : choice.sources_mm) {
      for (const double part_lag_s : choice.part_lags_s) {
        for (const double through : choice.throughs) {
          mixtures.push_back(
              MixtureOf({sheet_w_k, source_mm, part_lag_s, through}, plate, band, log_lags));
        }
      }
    }
  }
  courses.mixture.resize(kNumLags, static_cast<Eigen::Index>(mixtures.size()));
  for (std::size_t i = 0; i < mixtures.size(); ++i) {
    courses.mixture.col(static_cast<Eigen::Index>(i)) = mixtures[i];
  }
  courses.half_s = HalvesOf5S(courses.lags_s, courses.mixture);
  return courses;
}

}  // namespace

SourceCourses MakeSourceCourses(const Plate& plate) {
  return Make(plate,
              {},
              {{kSheetsWK.begin(), kSheetsWK.end()},
               {kSourcesMm.begin(), kSourcesMm.end()},
               {kPartLagsS.begin(), kPartLagsS.end()},
               {kThroughShares.begin(), kThroughShares.end()}});
}

SourceCourses EveryNth(const SourceCourses& sources, Eigen::Index n) {
  SourceCourses few;
  few.lags_s = sources.lags_s;
  few.board_s = sources.board_s;
  const Eigen::Index count = (sources.mixture.cols() + n - 1) / n;
  few.mixture.resize(sources.mixture.rows(), count);
  few.half_s.resize(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    few.mixture.col(i) = sources.mixture.col(i * n);
    few.half_s(i) = sources.half_s(i * n);
  }
  return few;
}

SourceCourses MakeBandCourses(const Plate& plate, double inner_mm, double outer_mm) {
  return Make(plate,
              {1e-3 * inner_mm, 1e-3 * outer_mm},
              {{0.003, 0.01, 0.03}, {0.5, 2, 4}, {0, 0.2, 0.5, 1, 2}, {0.0, 0.5, -1.0}});
}

}  // namespace ohmglow
