// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/pattern.h"

#include <gtest/gtest.h>

#include <random>

namespace ohmglow::record {
namespace {

PatternOptions Options(double top_a, double seconds_s) {
  PatternOptions options;
  options.top_amps_a = top_a;
  options.seconds_s = seconds_s;
  return options;
}

// Whatever is asked for: no gap, never above the top, zero at both ends, in time.
TEST(PlanSteps, KeepsItsRulesForAnyLength) {
  std::mt19937 random(1);
  for (int trial = 0; trial < 500; ++trial) {
    const double top_a = std::uniform_real_distribution<>(0.01, 20)(random);
    const double seconds_s = std::uniform_real_distribution<>(11.5, 600)(random);
    const PatternOptions options = Options(top_a, seconds_s);
    const auto steps = PlanSteps(options);
    EXPECT_EQ(steps.front().start_s, 0);
    EXPECT_EQ(steps.front().amps_a, 0);
    EXPECT_EQ(steps.back().amps_a, 0);
    EXPECT_NEAR(steps.back().end_s, seconds_s, 1e-9);
    for (std::size_t k = 0; k < steps.size(); ++k) {
      if (k > 0) {
        EXPECT_EQ(steps[k].start_s, steps[k - 1].end_s);
      }
      EXPECT_GT(steps[k].end_s, steps[k].start_s) << seconds_s;
      EXPECT_LE(steps[k].amps_a, top_a);
      if (k > 0 && steps[k].phase == Phase::kTurns && steps[k - 1].phase == Phase::kTurns) {
        EXPECT_NE(steps[k].amps_a, steps[k - 1].amps_a);
      }
    }
  }
}

TEST(PlanSteps, ReachesTheTopSeveralTimesInAMinute) {
  int tops = 0;
  for (const PatternStep& step : PlanSteps(Options(2, 60))) tops += step.amps_a == 2 ? 1 : 0;
  EXPECT_GE(tops, 4);
}

TEST(Pattern, RaisesNoFurtherWhereHeatShows) {
  Pattern pattern(Options(2, 60));
  const PatternStep first = pattern.At(5.5);
  EXPECT_EQ(first.phase, Phase::kApproach);
  EXPECT_LT(first.amps_a, 2);
  pattern.ShowsAt(5.5);
  for (double now_s = 5.5; now_s < 60; now_s += 0.1) {
    EXPECT_LE(pattern.At(now_s).amps_a, first.amps_a);
  }
  EXPECT_NEAR(pattern.end_s(), 60, 1e-9);
  EXPECT_EQ(pattern.At(61).phase, Phase::kOver);
}

TEST(Pattern, ShowingLaterChangesNothing) {
  Pattern pattern(Options(2, 60));
  const std::size_t before = pattern.steps().size();
  pattern.ShowsAt(2);   // At rest.
  pattern.ShowsAt(30);  // In turns.
  EXPECT_EQ(pattern.steps().size(), before);
}

TEST(Pattern, FinishesWithZeroAtAnyTime) {
  for (double now_s = 0.5; now_s < 59; now_s += 0.7) {
    Pattern pattern(Options(2, 60));
    const double end_s = pattern.end_s();
    pattern.Finish(now_s);
    EXPECT_EQ(pattern.At(now_s + 1e-6).amps_a, 0);
    EXPECT_LE(pattern.end_s(), std::max(end_s, now_s + 4.01));
    EXPECT_EQ(pattern.At(pattern.end_s() + 1e-6).phase, Phase::kOver);
  }
}

}  // namespace
}  // namespace ohmglow::record
