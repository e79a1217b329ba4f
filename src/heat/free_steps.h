// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "heat/step_score.h"

namespace ohmglow {

/// Steps of power whose heights are as free as their times.
struct FreeSteps {
  StepPlaces at;
  std::vector<double> rises;  ///< Changes of the power; the first, or the whole range, is 1.
  double score = 0;
};

/// Looks for such steps, one more at a time. The power is lowest before the first of them.
class FreeStepSearch {
 public:
  /// @param bands  must outlive it.
  /// @param heat_log_odds  that a lively place is heat of the supply, before looking.
  FreeStepSearch(const std::vector<BandScore>& bands, double heat_log_odds)
      : bands_(bands), heat_log_odds_(heat_log_odds) {}

  [[nodiscard]] StepScore ScoreOf(const FreeSteps& steps) const;
  /// The best pairs of steps that lie apart; best first.
  [[nodiscard]] std::vector<FreeSteps> Pairs() const;
  /// Moves times and heights in turn, until nothing gains.
  void Climb(FreeSteps& steps) const;
  /// With the best step more, climbed; the same at a score of -1e300 where none fits in.
  [[nodiscard]] FreeSteps WithOneMore(const FreeSteps& steps) const;

  /// With one of the steps taken in two at the best place, climbed: a level in between.
  [[nodiscard]] FreeSteps WithOneSplit(const FreeSteps& steps) const;

 private:
  // Tries step k of `trial` at all its places, and keeps what is better than the best.
  void TryPlaces(FreeSteps trial, std::size_t k, FreeSteps& best) const;

  const std::vector<BandScore>& bands_;
  double heat_log_odds_;
};

/// The most evidence (StepScore::Evidence) that a quick search finds for steps of free heights and
/// number, from noted ones and from the best pair: where the noted levels fit, hardly more than
/// for these.
/// @param rises  of the noted levels (RisesOf).
[[nodiscard]] double FreedEvidence(const std::vector<BandScore>& bands,
                                   const Eigen::MatrixXd& rises,
                                   const StepPlaces& at);

}  // namespace ohmglow
