// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/free_steps.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include "heat/step_search.h"

namespace ohmglow {
namespace {

// Times between tried ones, where a pair of steps is looked for, and one more.
constexpr int kPairStride = 8;
constexpr int kMoreStride = 4;
constexpr std::size_t kPairs = 6;
// Rises that are tried, in units of one of the others.
constexpr std::array kRises = {-2.0, -1.0, -0.5, 0.5, 1.0, 2.0, 4.0};
constexpr std::array kFactors = {0.5, 0.7, 0.85, 1.2, 1.4, 2.0};
// Of a step that is taken in two.
constexpr std::array kShares = {0.25, 0.5, 0.75};
constexpr int kRounds = 4;
// Steps that a quick search adds, and what each must bring.
constexpr int kMostFreed = 3;
constexpr double kWorth = 6;
// Of the first rise, what heights may err by.
constexpr double kBelowOff = 0.1;

// The supply is off at first: no level can be lower.
bool IsPower(const FreeSteps& steps) {
  double power = 0;
  for (const double rise : steps.rises) {
    power += rise;
    if (power < -kBelowOff) return false;
  }
  return true;
}

}  // namespace

StepScore FreeStepSearch::ScoreOf(const FreeSteps& steps) const {
  Eigen::MatrixXd rises(1, static_cast<Eigen::Index>(steps.rises.size()));
  std::copy(steps.rises.begin(), steps.rises.end(), rises.data());
  return {bands_, std::move(rises), {}, heat_log_odds_};
}

std::vector<FreeSteps> FreeStepSearch::Pairs() const {
  std::vector<FreeSteps> all;
  const int last = bands_.front().table().num_times() - 1;
  for (const double rise : kRises) {
    FreeSteps pair{{0, 0}, {1, rise}, 0};
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
  std::vector<FreeSteps> kept;
  for (const FreeSteps& pair : all) {
    const bool known = std::any_of(kept.begin(), kept.end(), [&](const FreeSteps& other) {
      return std::abs(other.at[0] - pair.at[0]) <= kPairStride &&
             std::abs(other.at[1] - pair.at[1]) <= kPairStride &&
             other.rises[1] * pair.rises[1] > 0;
    });
    if (!known && kept.size() < kPairs) kept.push_back(pair);
  }
  return kept;
}

void FreeStepSearch::Climb(FreeSteps& steps) const {
  for (int round = 0; round < kRounds; ++round) {
    const double before = steps.score;
    const StepFit fit = ClimbSteps(ScoreOf(steps), steps.at);
    steps.at = fit.at;
    steps.score = fit.score;
    for (std::size_t k = 1; k < steps.rises.size(); ++k) {
      for (const double factor : kFactors) {
        FreeSteps trial = steps;
        trial.rises[k] *= factor;
        if (!IsPower(trial)) continue;
        trial.score = ScoreOf(trial).Of(trial.at);
        if (trial.score > steps.score) steps = std::move(trial);
      }
    }
    if (steps.score < before + 0.1) break;
  }
}

void FreeStepSearch::TryPlaces(FreeSteps trial, std::size_t k, FreeSteps& best) const {
  const StepScore score = ScoreOf(trial);
  const int number = static_cast<int>(k);
  const int from = std::max(1, score.Earliest(trial.at, number));
  for (int place = from; place <= score.Latest(trial.at, number); place += kMoreStride) {
    trial.at[k] = place;
    trial.score = score.Of(trial.at);
    if (trial.score > best.score) best = trial;
  }
}

FreeSteps FreeStepSearch::WithOneMore(const FreeSteps& steps) const {
  FreeSteps best = steps;
  best.score = -1e300;
  for (std::size_t k = 0; k <= steps.at.size(); ++k) {
    for (const double rise : kRises) {
      FreeSteps trial = steps;
      const auto where = static_cast<std::ptrdiff_t>(k);
      trial.at.insert(trial.at.begin() + where, 0);
      trial.rises.insert(trial.rises.begin() + where, rise * std::abs(steps.rises.back()));
      if (!IsPower(trial)) continue;
      TryPlaces(std::move(trial), k, best);
    }
  }
  if (best.at.size() > steps.at.size()) Climb(best);
  return best;
}

FreeSteps FreeStepSearch::WithOneSplit(const FreeSteps& steps) const {
  FreeSteps best = steps;
  best.score = -1e300;
  for (std::size_t k = 0; k < steps.at.size(); ++k) {
    for (const double share : kShares) {
      FreeSteps trial = steps;
      const auto where = static_cast<std::ptrdiff_t>(k);
      trial.at.insert(trial.at.begin() + where, 0);
      trial.rises.insert(trial.rises.begin() + where, share * steps.rises[k]);
      trial.rises[k + 1] -= trial.rises[k];
      TryPlaces(std::move(trial), k, best);
    }
  }
  if (best.at.size() > steps.at.size()) Climb(best);
  return best;
}

double FreedEvidence(const std::vector<BandScore>& bands,
                     const Eigen::MatrixXd& rises,
                     const StepPlaces& at) {
  const FreeStepSearch search(bands, StepScore::kHeatLogOdds);
  double evidence = -1e300;
  std::vector<FreeSteps> starts;
  for (Eigen::Index n = 0; n < rises.rows(); ++n) {
    FreeSteps noted{at, {}, 0};
    for (Eigen::Index k = 0; k < rises.cols(); ++k) noted.rises.push_back(rises(n, k));
    const StepScore score = search.ScoreOf(noted);
    noted.score = score.Of(at);
    const double found = score.Evidence(at);
    // Of the exponents the better one leads further.
    if (found > evidence && IsPower(noted)) starts.assign(1, noted);
    evidence = std::max(evidence, found);
  }
  const std::vector<FreeSteps> pairs = search.Pairs();
  if (!pairs.empty()) starts.push_back(pairs.front());
  for (FreeSteps& steps : starts) {
    search.Climb(steps);
    for (int more = 0; more < kMostFreed; ++more) {
      FreeSteps longer = search.WithOneMore(steps);
      FreeSteps split = search.WithOneSplit(steps);
      if (split.score > longer.score) longer = std::move(split);
      if (longer.score < steps.score + kWorth) break;
      steps = std::move(longer);
    }
    evidence = std::max(evidence, search.ScoreOf(steps).Evidence(steps.at));
  }
  return evidence;
}

}  // namespace ohmglow
