// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/step_discovery.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <utility>

#include "heat/free_steps.h"
#include "heat/level_places.h"
#include "heat/step_score.h"

namespace ohmglow {
namespace {

constexpr std::array kBands = {DetailBand{}, DetailBand{3, 12}};
constexpr int kMostSteps = 6;
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

// The current of each level, were all heat to go with its square.
std::vector<SetLevel> LevelsOf(const FreeSteps& steps, const StepTable& table) {
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

bool Refutes(const DiscoveredSteps& steps, const LevelTimes& noted) {
  if (!steps.certain) return false;
  if (!noted.found() || noted.evidence < kFitShare * steps.of_all) return true;
  return steps.leads && !noted.leads && noted.evidence < steps.of_all;
}

DiscoveredSteps DiscoverSteps(const Stack& stack, const Plate& plate, double mm_per_pixel) {
  std::vector<BandScore> bands;
  for (const DetailBand& band : kBands) {
    bands.push_back(FindLivelyBand(stack, plate, mm_per_pixel, band).score);
  }
  // All places lead to where steps may be; strong ones alone say whether they are.
  const FreeStepSearch search(bands, StepScore::kHeatLogOdds);
  const FreeStepSearch strict(bands, kStrongLogOdds);
  FreeSteps best;
  best.score = -1e300;
  for (FreeSteps steps : search.Pairs()) {
    search.Climb(steps);
    for (int more = 0; more < kMostSteps - 1; ++more) {
      FreeSteps sure = steps;
      sure.score = strict.ScoreOf(sure).Of(sure.at);
      strict.Climb(sure);
      if (sure.score > best.score + kWorth) best = sure;
      FreeSteps longer = search.WithOneMore(steps);
      const bool worse = longer.score < steps.score && steps.at.size() > 2;
      if (longer.at.size() == steps.at.size() || worse) break;
      steps = std::move(longer);
    }
  }
  DiscoveredSteps out;
  if (best.at.empty()) return out;
  out.levels = LevelsOf(best, bands.front().table());
  out.evidence = strict.ScoreOf(best).Evidence(best.at);
  const StepScore score = search.ScoreOf(best);
  out.of_all = score.Evidence(best.at);
  out.leads = score.Leads(best.at);
  const auto more = static_cast<double>(best.at.size()) - 2;
  out.certain = out.evidence > kCertain + kCertainPerStep * more;
  return out;
}

}  // namespace ohmglow
