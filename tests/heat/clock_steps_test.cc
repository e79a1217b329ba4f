// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock_steps.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "heat/drive.h"
#include "support/scene.h"

namespace ohmglow {
namespace {

SupplyLog RowsASecond(const std::vector<double>& amps) {
  SupplyLog log;
  for (std::size_t i = 0; i < amps.size(); ++i) {
    log.time_s.push_back(static_cast<double>(i));
    log.volts_v.push_back(0.3 * amps[i]);
    log.amps_a.push_back(amps[i]);
  }
  return log;
}

TEST(FindSteps, PutsEachBetweenItsTwoRows) {
  const auto steps = FindSteps(RowsASecond({0, 0, 0, 1, 1, 1, 2, 2, 0, 0}));
  ASSERT_EQ(steps.size(), 3U);
  const double early_s[] = {2, 5, 7};
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_DOUBLE_EQ(steps[i].early_s, early_s[i]);
    EXPECT_DOUBLE_EQ(steps[i].late_s, early_s[i] + 1);
    EXPECT_FALSE(steps[i].ramp);
  }
}

TEST(FindSteps, TakesARampAsItsRowsHaveIt) {
  const auto steps = FindSteps(RowsASecond({0, 0, 0, 0.5, 1, 1.5, 2, 2, 2, 2}));
  ASSERT_EQ(steps.size(), 1U);
  EXPECT_TRUE(steps[0].ramp);
  EXPECT_DOUBLE_EQ(steps[0].middle_s(), 4);
  EXPECT_LT(steps[0].late_s - steps[0].early_s, 0.5);
}

// Up and at once down again are two steps, however close.
TEST(FindSteps, PartsUpFromDown) {
  const auto steps = FindSteps(RowsASecond({0, 0, 0, 2, 0, 0, 0, 0}));
  ASSERT_EQ(steps.size(), 2U);
  EXPECT_FALSE(steps[0].ramp);
}

TEST(FindSteps, LeavesAStepOpenWithinAMissingPiece) {
  SupplyLog log = RowsASecond({0, 0, 0, 0, 0, 0, 0, 0, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2});
  for (auto* values : {&log.time_s, &log.volts_v, &log.amps_a}) {
    values->erase(values->begin() + 6, values->begin() + 11);
  }
  const auto steps = FindSteps(log);
  ASSERT_EQ(steps.size(), 1U);
  EXPECT_DOUBLE_EQ(steps[0].early_s, 5);
  EXPECT_DOUBLE_EQ(steps[0].late_s, 11);
}

// A log with rows at the changes alone says when they were.
TEST(FindSteps, BelievesALogOfChangesAlone) {
  const auto steps = FindSteps({{0, 6, 18, 32, 45}, {0, 0.3, 0.6, 0, 0}, {0, 1, 2, 0, 0}});
  ASSERT_EQ(steps.size(), 3U);
  EXPECT_NEAR(steps[1].middle_s(), 18, 1e-5);
  EXPECT_LT(steps[1].late_s - steps[1].early_s, 1e-4);
}

TEST(PlaceSteps, MakesThemSharpAtTheirTimes) {
  const testing::Steps truth = {{6.3, 1.0}, {15.8, 2.0}, {27.1, 0.0}};
  const SupplyLog slow = testing::SampledLog(truth, 34, 1.0);
  const auto steps = FindSteps(slow);
  ASSERT_EQ(steps.size(), 3U);
  const Drive placed(PlaceSteps(slow, steps, {6.3, 15.8, 27.1}), 0);
  const Drive exact(testing::StepLog(truth, 34), 0);
  const std::vector<double> times_s = {3, 6.2, 6.5, 9, 15.9, 20, 27.05, 27.2, 33};
  const auto a = placed.LagResponse(times_s, 0.7, 2);
  const auto b = exact.LagResponse(times_s, 0.7, 2);
  for (std::size_t i = 0; i < a.size(); ++i) EXPECT_NEAR(a[i], b[i], 1e-4) << times_s[i];
}

TEST(PlaceSteps, LeavesNoTwoRowsThatAnOffsetWouldMakeOne) {
  const SupplyLog log{{0, 0.2, 0.4, 0.6}, {0, 0, 1, 1}, {0, 0, 1, 1}};
  const auto steps = FindSteps(log);
  ASSERT_EQ(steps.size(), 1U);
  // A hair before the next row.
  const SupplyLog placed = PlaceSteps(log, steps, {std::nextafter(0.4, 0.0)});
  for (std::size_t i = 1; i < placed.time_s.size(); ++i) {
    EXPECT_GT(placed.time_s[i] + 13.7, placed.time_s[i - 1] + 13.7 + 1e-9) << i;
  }
}

TEST(PlaceSteps, KeepsTimesRisingWhereverTheyArePut) {
  const SupplyLog log = RowsASecond({0, 0, 0, 0.7, 1.4, 2, 2, 2, 0, 0, 0});
  const auto steps = FindSteps(log);
  ASSERT_EQ(steps.size(), 2U);
  for (const double moved_s : {-2.5, 0.0, 2.5}) {
    const SupplyLog placed =
        PlaceSteps(log, steps, {steps[0].middle_s() + moved_s, steps[1].middle_s() - moved_s});
    EXPECT_EQ(placed.time_s.size(), placed.amps_a.size());
    EXPECT_EQ(placed.time_s.size(), placed.volts_v.size());
    EXPECT_TRUE(std::is_sorted(placed.time_s.begin(), placed.time_s.end()));
    EXPECT_EQ(std::adjacent_find(placed.time_s.begin(), placed.time_s.end()), placed.time_s.end());
  }
}

// Who films and logs together has the steps in the film.
TEST(StepsLogPrior, WantsTheStepsInTheFilm) {
  const SupplyLog log = testing::StepLog({{5, 1}, {15, 0}}, 20);
  EXPECT_NEAR(StepsLogPrior(log, 0, 20, 0), 0, 1e-9);
  EXPECT_NEAR(StepsLogPrior(log, 0, 20, -4), 0, 1e-9);
  const double half_out = StepsLogPrior(log, 0, 20, -7);
  EXPECT_LT(half_out, -1);
  EXPECT_GT(half_out, -10);  // A doubt, no more: heat may say otherwise.
  EXPECT_NEAR(StepsLogPrior(log, 0, 20, 8), half_out, 1e-9);
  EXPECT_LT(StepsLogPrior(log, 0, 20, -16), -1e5);
  EXPECT_LT(StepsLogPrior(log, 0, 20, 30), -1e5);
  EXPECT_EQ(StepsLogPrior({{0, 1}, {0, 0}, {2, 2}}, 0, 20, 0), 0);  // Nothing to go by.
}

}  // namespace
}  // namespace ohmglow
