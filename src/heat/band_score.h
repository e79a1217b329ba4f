// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/clock_grid.h"
#include "heat/step_table.h"

namespace ohmglow {

/// One place in a table's times each: when every step of the current was.
using StepPlaces = std::vector<int>;

/// How well steps of power at trial times explain the places of one band of
/// detail, over that each has a course of its own.
///
/// Heat that follows the steps answers every one of them alike, by any
/// response that rises and stays; how many of the table's responses it takes
/// is the place's own. Its rivals are nothing, a smooth course, one change of
/// any response at any time, one that is taken back after some seconds (a
/// hand, a lamp), and a smooth course with one of these. Every freedom of either
/// side costs what the Bayesian information criterion says (Schwarz, Ann.
/// Stat. 6 (1978) 461-464).
class BandScore {
 public:
  /// @param spots  a point a place, the liveliest first; what noise gives a course counts as tremble.
  BandScore(StepTable table, const FineGrid& spots);

  /// The sums over all steps but one, for a row of rises of the power.
  struct Partial {
    Eigen::MatrixXf match;    ///< Responses x places.
    Eigen::MatrixXf gram;     ///< Responses x responses.
    Eigen::MatrixXf product;  ///< Pairs of responses x times.
  };
  [[nodiscard]] Partial Without(const StepPlaces& at,
                                const Eigen::RowVectorXd& rises,
                                int step) const;

  /// Gain in log likelihood of each place over its best rival, with the step
  /// that is missing back at a time.
  [[nodiscard]] Eigen::ArrayXd RatiosWith(const Partial& partial, double rise, int place) const;

  [[nodiscard]] const StepTable& table() const { return table_; }
  [[nodiscard]] Eigen::Index num_places() const { return whole_.size(); }

 private:
  [[nodiscard]] Eigen::ArrayXd LogGain(const Eigen::ArrayXf& energy) const;
  [[nodiscard]] Eigen::ArrayXd BestGain(const Eigen::MatrixXf& gram,
                                        const Eigen::MatrixXf& match,
                                        const Eigen::ArrayXf& beside,
                                        bool heat) const;
  [[nodiscard]] Eigen::ArrayXd Oddness(const Eigen::ArrayXXf& weights) const;
  [[nodiscard]] Eigen::ArrayXd RivalGain(int from, int until) const;
  void FindRivals();

  StepTable table_;
  std::vector<Eigen::MatrixXf> matches_;  // per time: responses x places
  std::vector<Eigen::MatrixXf> shared_;   // per response: smooth courses x times
  Eigen::MatrixXf smooth_;                // smooth courses x places
  Eigen::ArrayXf of_smooth_;              // per place: their energy
  Eigen::ArrayXf whole_;                  // per place: energy and what no model is right to
  Eigen::ArrayXd rivals_;                 // per place: gain of the best of them
  double price_ = 0;                      // of a freedom
};

}  // namespace ohmglow
