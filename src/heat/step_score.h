// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <optional>
#include <vector>

#include "heat/band_score.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// How well steps of known height at trial times explain places of all bands:
/// the log likelihood of all places together, over that none follows the steps,
/// and what is known of the times.
class StepScore {
 public:
  /// That a lively place is heat of the supply, before looking, log odds. Times are
  /// fitted to noise as well as to heat, which gives a place without heat 5 to 6 in
  /// log likelihood: low enough that such places do not speak.
  static constexpr double kHeatLogOdds = -4.6;

  /// @param bands  with the same times; must outlive it.
  /// @param rises  exponents of the current x steps: change of the relative power.
  /// @param levels  what was noted of the times; empty: nothing.
  StepScore(const std::vector<BandScore>& bands,
            Eigen::MatrixXd rises,
            std::vector<SetLevel> levels,
            double heat_log_odds = kHeatLogOdds);

  [[nodiscard]] const StepTable& table() const { return bands_.front().table(); }
  [[nodiscard]] int num_steps() const { return static_cast<int>(rises_.cols()); }
  [[nodiscard]] double Of(const StepPlaces& at) const;
  /// The same without what is known of the times: over that no place follows the steps.
  [[nodiscard]] double Evidence(const StepPlaces& at) const;
  /// Scores with one step moved to each place from `first` to `last`.
  [[nodiscard]] std::vector<double> Scan(const StepPlaces& at, int step, int first, int last) const;
  /// Log probability ratio of each place of all bands in turn: follows the steps, over a course of
  /// its own.
  [[nodiscard]] Eigen::ArrayXd LogRatios(const StepPlaces& at) const;
  /// Whether the liveliest place of a band, whichever, follows the steps.
  [[nodiscard]] bool Leads(const StepPlaces& at) const;
  /// The least and the most that a step may take, the others where they are.
  [[nodiscard]] int Earliest(const StepPlaces& at, int step) const;
  [[nodiscard]] int Latest(const StepPlaces& at, int step) const;
  [[nodiscard]] double LogPrior(const StepPlaces& at) const;

 private:
  [[nodiscard]] std::vector<BandScore::Partial> Without(const StepPlaces& at, int step) const;
  [[nodiscard]] Eigen::ArrayXd RatiosWith(const std::vector<BandScore::Partial>& partials,
                                          int step,
                                          int place) const;

  const std::vector<BandScore>& bands_;
  Eigen::MatrixXd rises_;
  std::vector<SetLevel> levels_;
  double heat_log_odds_;
  int least_apart_ = 1;
};

/// Changes of the relative power under levels: exponents 1 and 2 x steps.
[[nodiscard]] Eigen::MatrixXd RisesOf(const std::vector<SetLevel>& levels);

}  // namespace ohmglow
