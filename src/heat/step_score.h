// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <optional>
#include <vector>

#include "heat/clock_grid.h"
#include "heat/step_table.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// One place in a table's times each: when every step of the current was.
using StepPlaces = std::vector<int>;

/// How well steps of known height at trial times explain some places.
///
/// A place is heat that follows all the steps, as one kind of source and the
/// first or second power of the current, or it has a course of its own (a
/// single change, or a smooth one). The score is the log likelihood of all
/// places together, over that none follows the steps, and what is known of the
/// times.
class StepScore {
 public:
  /// All arguments must outlive it. @param spots  a point a place; what noise gives a
  /// course counts as tremble.
  StepScore(const StepTable& table, const FineGrid& spots, const std::vector<SetLevel>& levels);

  [[nodiscard]] int num_steps() const { return static_cast<int>(rises_.cols()); }
  [[nodiscard]] double Of(const StepPlaces& at) const;
  /// The same without what is known of the times: over that no place follows the steps.
  [[nodiscard]] double Evidence(const StepPlaces& at) const;
  /// Scores with one step moved to each place from `first` to `last`.
  [[nodiscard]] std::vector<double> Scan(const StepPlaces& at, int step, int first, int last) const;
  /// Log probability ratio of each place: follows the steps, over a course of its own.
  [[nodiscard]] Eigen::ArrayXd LogRatios(const StepPlaces& at) const;
  /// The least and the most that a step may take, the others where they are.
  [[nodiscard]] int Earliest(const StepPlaces& at, int step) const;
  [[nodiscard]] int Latest(const StepPlaces& at, int step) const;
  [[nodiscard]] double LogPrior(const StepPlaces& at) const;

 private:
  struct Partial;
  [[nodiscard]] Partial Without(const StepPlaces& at, int step) const;
  [[nodiscard]] Eigen::ArrayXd RatiosWith(const Partial& partial, int step, int place) const;
  [[nodiscard]] Eigen::ArrayXd LogGain(const Eigen::ArrayXf& share) const;
  void FindOthers(const FineGrid& spots);

  const StepTable& table_;
  const std::vector<SetLevel>& levels_;
  Eigen::Array2Xd rises_;                 // exponents 1 and 2 x steps: change of the relative power
  std::vector<Eigen::ArrayXXf> matches_;  // per time: kinds x spots
  Eigen::ArrayXXf squares_;               // kinds x times
  Eigen::ArrayXf whole_;                  // per spot: energy and what no model is right to
  Eigen::ArrayXd log_other_;              // per spot
  int least_apart_ = 1;
};

}  // namespace ohmglow
