// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/step_score.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace ohmglow {
namespace {

// A current set by hand stays this long.
constexpr double kShortestLevelS = 0.6;
// Levels of much the same length are likelier: exponent of a Dirichlet density, less 1.
constexpr double kEvenness = 2;
// A time noted by hand is never wrong by more than this many times what was said.
constexpr double kFarOff = 1.5;
constexpr double kImpossible = -1e6;

}  // namespace

Eigen::MatrixXd RisesOf(const std::vector<SetLevel>& levels) {
  double top_a = 0;
  for (const SetLevel& level : levels) top_a = std::max(top_a, level.amps_a);
  Eigen::MatrixXd rises(2, static_cast<Eigen::Index>(levels.size()) - 1);
  for (Eigen::Index k = 0; k < rises.cols(); ++k) {
    const double before = levels[static_cast<std::size_t>(k)].amps_a / top_a;
    const double after = levels[static_cast<std::size_t>(k) + 1].amps_a / top_a;
    rises(0, k) = after - before;
    rises(1, k) = after * after - before * before;
  }
  return rises;
}

StepScore::StepScore(const std::vector<BandScore>& bands,
                     Eigen::MatrixXd rises,
                     std::vector<SetLevel> levels,
                     double heat_log_odds)
    : bands_(bands),
      rises_(std::move(rises)),
      levels_(std::move(levels)),
      heat_log_odds_(heat_log_odds) {
  least_apart_ = std::max(1, static_cast<int>(std::ceil(kShortestLevelS / table().pitch_s())));
}

// One after the other: bands, and in each the exponents.
std::vector<BandScore::Partial> StepScore::Without(const StepPlaces& at, int step) const {
  std::vector<BandScore::Partial> partials;
  for (const BandScore& band : bands_) {
    for (Eigen::Index n = 0; n < rises_.rows(); ++n) {
      partials.push_back(band.Without(at, rises_.row(n), step));
    }
  }
  return partials;
}

Eigen::ArrayXd StepScore::RatiosWith(const std::vector<BandScore::Partial>& partials,
                                     int step,
                                     int place) const {
  Eigen::Index count = 0;
  for (const BandScore& band : bands_) count += band.num_places();
  Eigen::ArrayXd all(count);
  Eigen::Index from = 0;
  std::size_t next = 0;
  for (const BandScore& band : bands_) {
    Eigen::ArrayXd best = band.RatiosWith(partials[next++], rises_(0, step), place);
    for (Eigen::Index n = 1; n < rises_.rows(); ++n) {
      best = best.max(band.RatiosWith(partials[next++], rises_(n, step), place));
    }
    all.segment(from, best.size()) = best - std::log(static_cast<double>(rises_.rows()));
    from += best.size();
  }
  return all;
}

double StepScore::LogPrior(const StepPlaces& at) const {
  const double span = table().num_times() - 1;
  double sum = 0;
  int before = 0;
  for (std::size_t k = 0; k <= at.size(); ++k) {
    const int here = k < at.size() ? at[k] : table().num_times() - 1;
    const double length = std::max(here - before, 1) / span * static_cast<double>(at.size() + 1);
    sum += kEvenness * std::log(length);
    before = here;
    if (k == at.size() || levels_.empty()) continue;
    const SetLevel& level = levels_[k + 1];
    if (!level.start_s) continue;
    const double off =
        (table().times_s[static_cast<std::size_t>(at[k])] - *level.start_s) / level.within_s;
    sum += std::abs(off) > kFarOff ? kImpossible * std::abs(off) : -0.5 * 1.96 * 1.96 * off * off;
  }
  return sum;
}

Eigen::ArrayXd StepScore::LogRatios(const StepPlaces& at) const {
  return RatiosWith(Without(at, 0), 0, at[0]);
}

bool StepScore::Leads(const StepPlaces& at) const {
  const Eigen::ArrayXd ratios = LogRatios(at);
  Eigen::Index first = 0;
  for (const BandScore& band : bands_) {
    if (band.num_places() > 0 && ratios(first) > 0) return true;
    first += band.num_places();
  }
  return false;
}

double StepScore::Of(const StepPlaces& at) const { return Scan(at, 0, at[0], at[0]).front(); }

double StepScore::Evidence(const StepPlaces& at) const { return Of(at) - LogPrior(at); }

std::vector<double> StepScore::Scan(const StepPlaces& at, int step, int first, int last) const {
  const std::vector<BandScore::Partial> partials = Without(at, step);
  StepPlaces trial = at;
  std::vector<double> scores;
  for (int place = first; place <= last; ++place) {
    trial[static_cast<std::size_t>(step)] = place;
    // log(p exp(r) + 1 - p), whatever the size of r.
    const Eigen::ArrayXd raised = RatiosWith(partials, step, place) + heat_log_odds_;
    const Eigen::ArrayXd high = raised.max(0.0);
    const double none = static_cast<double>(raised.size()) * std::log1p(std::exp(heat_log_odds_));
    const double sum = (high + ((raised - high).exp() + (-high).exp()).log()).sum() - none;
    scores.push_back(sum + LogPrior(trial));
  }
  return scores;
}

int StepScore::Earliest(const StepPlaces& at, int step) const {
  return (step == 0 ? 0 : at[static_cast<std::size_t>(step) - 1]) + least_apart_;
}

int StepScore::Latest(const StepPlaces& at, int step) const {
  const int next =
      step + 1 == num_steps() ? table().num_times() - 1 : at[static_cast<std::size_t>(step) + 1];
  return next - least_apart_;
}

}  // namespace ohmglow
