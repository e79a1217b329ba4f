// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

namespace ohmglow::record {

/// How the current is stepped. The defaults are what simulation preferred (README.md).
struct PatternOptions {
  double top_amps_a = 0;  ///< The user's limit; > 0.
  double seconds_s = 60;  ///< From the first rest to the end; >= 12.
  double rest_s = 5;      ///< At zero before anything else.
  /// Shares of the top that are tried one after the other, until heat shows.
  std::vector<double> approach = {0.25, 0.5, 0.71};
  double approach_s = 2;  ///< Each of them.
  /// Half periods of zero and top in turns, one after the other, again from the start.
  std::vector<double> halves_s = {6, 6, 3, 3, 10, 10};
  double end_s = 4;     ///< At zero in the end; at least.
  double show_k = 1.5;  ///< Rise from which the current is not raised further.
};

enum class Phase { kRest, kApproach, kTurns, kEnd, kOver };

struct PatternStep {
  double start_s = 0;
  double end_s = 0;
  double amps_a = 0;
  Phase phase = Phase::kRest;
};

/// All steps, if no heat shows before the top and nothing ends it early.
[[nodiscard]] std::vector<PatternStep> PlanSteps(const PatternOptions& options);

/// The steps as they come: the caller keeps the clock and says what it sees.
class Pattern {
 public:
  explicit Pattern(const PatternOptions& options);

  /// Nothing more is to be learnt: goes to the end.
  void Finish(double now_s);
  /// @param now_s  since the start, rising.
  [[nodiscard]] PatternStep At(double now_s) const;
  [[nodiscard]] double end_s() const { return steps_.back().end_s; }
  [[nodiscard]] double top_amps_a() const { return options_.top_amps_a; }
  [[nodiscard]] const std::vector<PatternStep>& steps() const { return steps_; }
  /// Heat shows at the current that flows: it becomes the top, and what follows is planned
  /// anew. Only in the approach; later it is too late.
  void ShowsAt(double now_s);

 private:
  PatternOptions options_;
  std::vector<PatternStep> steps_;
};

}  // namespace ohmglow::record
