// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/step_discovery.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <utility>

#include "heat/level_places.h"
#include "heat/step_score.h"
#include "heat/step_search.h"

namespace ohmglow {
namespace {

constexpr std::array kBands = {DetailBand{}, DetailBand{3, 12}};
constexpr int kMostSteps = 6;
// Times between tried ones, where a pair of steps is looked for, and one more.
constexpr int kPairStride = 8;
constexpr int kMoreStride = 4;
constexpr std::size_t kPairs = 6;
// Rises that are tried, in units of one of the others.
constexpr std::array kRises = {-2.0, -1.0, -0.5, 0.5, 1.0, 2.0, 4.0};
constexpr std::array kFactors = {0.5, 0.7, 0.85, 1.2, 1.4, 2.0};
constexpr int kRounds = 4;
// Of the first rise, what heights may err by.
constexpr double kBelowOff = 0.1;
// What one step more must bring: a time and a height are fitted for it.
constexpr double kWorth = 6;
// Heights are fitted besides times: what only passes by looks like steps to a log likelihood of 14
// at many places at once, so that strong heat alone may speak.
constexpr double kStrongLogOdds = -15;
// More than is found where no current is switched: for two steps, and for each one more, whose
// time and height are free (LEVELS.md).
constexpr double kCertain = 12;
constexpr double kCertainPerStep = 3;
// Starts found so are believed to this.
constexpr double kWithinS = 1;
// A smaller share of the highest power is a supply that is off.
constexpr double kOff = 0.02;

struct Steps {
  StepPlaces at;
  std::vector<double> rises;
  double score = 0;
};

class Search {
 public:
  Search(const std::vector<BandScore>& bands, double heat_log_odds)
      : bands_(bands), heat_log_odds_(heat_log_odds) {}

  [[nodiscard]] StepScore ScoreOf(const Steps& steps) const {
    Eigen::MatrixXd rises(1, static_cast<Eigen::Index>(steps.rises.size()));
    std::copy(steps.rises.begin(), steps.rises.end(), rises.data());
    return {bands_, std::move(rises), {}, heat_log_odds_};
  }

  // The supply is off at first: no level can be lower.
  [[nodiscard]] static bool IsPower(const Steps& steps) {
    double power = 0;
    for (const double rise : steps.rises) {
      power += rise;
      if (power < -kBelowOff) return false;
    }
    return true;
  }

  // The best pairs of steps that lie apart.
  [[nodiscard]] std::vector<Steps> Pairs() const {
    std::vector<Steps> all;
    const int last = bands_.front().table().num_times() - 1;
    for (const double rise : kRises) {
      Steps pair{{0, 0}, {1, rise}, 0};
      if (!IsPower(pair)) continue;
      const StepScore score = ScoreOf(pair);
      for (int first = kPairStride; first < last; first += kPairStride) {
        pair.at = {first, last};
        const int from = score.Earliest(pair.at, 1);
        const std::vector<double> scores = score.Scan(pair.at, 1, from, score.Latest(pair.at, 1));
        if (scores.empty()) continue;
        const auto best = std::max_element(scores.begin(), scores.end());
        pair.at[1] = from + static_cast<int>(best - scores.begin());
        pair.score = *best;
        all.push_back(pair);
      }
    }
    std::stable_sort(
        all.begin(), all.end(), [](const auto& a, const auto& b) { return a.score > b.score; });
    std::vector<Steps> kept;
    for (const Steps& pair : all) {
      const bool known = std::any_of(kept.begin(), kept.end(), [&](const Steps& other) {
        return std::abs(other.at[0] - pair.at[0]) <= kPairStride &&
               std::abs(other.at[1] - pair.at[1]) <= kPairStride &&
               other.rises[1] * pair.rises[1] > 0;
      });
      if (!known && kept.size() < kPairs) kept.push_back(pair);
    }
    return kept;
  }

  // Times and heights in turn.
  void Climb(Steps& steps) const {
    for (int round = 0; round < kRounds; ++round) {
      const double before = steps.score;
      const StepFit fit = ClimbSteps(ScoreOf(steps), steps.at);
      steps.at = fit.at;
      steps.score = fit.score;
      for (std::size_t k = 1; k < steps.rises.size(); ++k) {
        for (const double factor : kFactors) {
          Steps trial = steps;
          trial.rises[k] *= factor;
          if (!IsPower(trial)) continue;
          trial.score = ScoreOf(trial).Of(trial.at);
          if (trial.score > steps.score) steps = std::move(trial);
        }
      }
      if (steps.score < before + 0.1) break;
    }
  }

  // With the best step more; the same where none fits in.
  [[nodiscard]] Steps WithOneMore(const Steps& steps) const {
    Steps best = steps;
    best.score = -1e300;
    for (std::size_t k = 0; k <= steps.at.size(); ++k) {
      for (const double rise : kRises) {
        Steps trial = steps;
        const auto where = static_cast<std::ptrdiff_t>(k);
        trial.at.insert(trial.at.begin() + where, 0);
        trial.rises.insert(trial.rises.begin() + where, rise * std::abs(steps.rises.back()));
        if (!IsPower(trial)) continue;
        const StepScore score = ScoreOf(trial);
        const int number = static_cast<int>(k);
        const int from = std::max(1, score.Earliest(trial.at, number));
        for (int place = from; place <= score.Latest(trial.at, number); place += kMoreStride) {
          trial.at[k] = place;
          trial.score = score.Of(trial.at);
          if (trial.score > best.score) best = trial;
        }
      }
    }
    if (best.at.size() > steps.at.size()) Climb(best);
    return best;
  }

 private:
  const std::vector<BandScore>& bands_;
  double heat_log_odds_;
};

// The current of each level, were all heat to go with its square.
std::vector<SetLevel> LevelsOf(const Steps& steps, const StepTable& table) {
  std::vector<double> powers(steps.rises.size() + 1, 0.0);
  std::partial_sum(steps.rises.begin(), steps.rises.end(), powers.begin() + 1);
  const auto [low, high] = std::minmax_element(powers.begin(), powers.end());
  const double base = *low;
  const double range = *high - *low;
  std::vector<SetLevel> levels;
  for (std::size_t k = 0; k < powers.size(); ++k) {
    const double share = (powers[k] - base) / range;
    SetLevel level{share < kOff ? 0 : std::sqrt(share)};
    if (k > 0) {
      level.start_s = table.times_s[static_cast<std::size_t>(steps.at[k - 1])];
      level.within_s = kWithinS;
    }
    levels.push_back(level);
  }
  return levels;
}

}  // namespace

DiscoveredSteps DiscoverSteps(const Stack& stack, const Plate& plate, double mm_per_pixel) {
  std::vector<BandScore> bands;
  for (const DetailBand& band : kBands) {
    bands.push_back(FindLivelyBand(stack, plate, mm_per_pixel, band).score);
  }
  // All places lead to where steps may be; strong ones alone say whether they are.
  const Search search(bands, StepScore::kHeatLogOdds);
  const Search strict(bands, kStrongLogOdds);
  Steps best;
  best.score = -1e300;
  for (Steps steps : search.Pairs()) {
    search.Climb(steps);
    for (int more = 0; more < kMostSteps - 1; ++more) {
      Steps sure = steps;
      sure.score = strict.ScoreOf(sure).Of(sure.at);
      strict.Climb(sure);
      if (sure.score > best.score + kWorth) best = sure;
      Steps longer = search.WithOneMore(steps);
      const bool worse = longer.score < steps.score && steps.at.size() > 2;
      if (longer.at.size() == steps.at.size() || worse) break;
      steps = std::move(longer);
    }
  }
  DiscoveredSteps out;
  if (best.at.empty()) return out;
  out.levels = LevelsOf(best, bands.front().table());
  out.evidence = strict.ScoreOf(best).Evidence(best.at);
  const auto more = static_cast<double>(best.at.size()) - 2;
  out.certain = out.evidence > kCertain + kCertainPerStep * more;
  return out;
}

}  // namespace ohmglow
