// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/level_times.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "heat/step_discovery.h"
#include "ohmglow/base/error.h"
#include "support/plate_film.h"
#include "support/scene.h"

namespace ohmglow {
namespace {

using testing::Steps;

const cv::Size kSize(60, 45);
const Steps kSteps = {{6.25, 1.0}, {15.75, 2.0}, {27.125, 0.0}};
const std::vector<SetLevel> kLevels = {{0}, {1}, {2}, {0}};

// A board heated by finite cells; no closed form of the product. 37.5 s.
Stack Film(double power_w, bool far, unsigned seed, const Steps& steps = kSteps) {
  Stack stack = testing::StillStack(kSize, 100, 3, 0.125);
  std::mt19937 random(seed);
  testing::AddNoise(random, 0.05, stack);
  testing::PlateSource source;
  source.power_w = power_w;
  source.far = far;
  source.center_px = {30, 20};
  if (power_w > 0) testing::AddPlate(source, steps, stack);
  return stack;
}

LevelTimes Find(const Stack& stack, const std::vector<SetLevel>& levels) {
  return TimeLevels(stack, levels, Plate{}, 0.5, {});
}

TEST(TimeLevels, FindsTheStepsWhereverTheyAre) {
  for (const double later_s : {0.0, 3.5}) {
    Steps steps = kSteps;
    for (auto& step : steps) step.first += later_s;
    const LevelTimes times = Find(Film(0.5, false, 21, steps), kLevels);
    EXPECT_TRUE(times.found());
    ASSERT_EQ(times.starts.size(), 3U);
    for (std::size_t k = 0; k < 3; ++k) {
      EXPECT_NEAR(times.starts[k].time_s, steps[k].first, 0.4) << k;
      EXPECT_LT(std::abs(times.starts[k].time_s - steps[k].first), 4 * times.starts[k].sigma_s);
      EXPECT_TRUE(times.starts[k].seen) << k;
    }
  }
}

TEST(TimeLevels, FindsHeatOfTheFarFaceMoreRoughly) {
  const LevelTimes times = Find(Film(0.5, true, 22), kLevels);
  for (std::size_t k = 0; k < 3; ++k) {
    EXPECT_NEAR(times.starts[k].time_s, kSteps[k].first, 1.5) << k;
  }
}

TEST(TimeLevels, FindsAnAlternatingCurrent) {
  const Steps steps = {{5, 1.0}, {10, 0.0}, {16, 1.0}, {21, 0.0}, {27, 1.0}, {32, 0.0}};
  const std::vector<SetLevel> levels = {{0}, {1}, {0}, {1}, {0}, {1}, {0}};
  const LevelTimes times = Find(Film(0.2, false, 23, steps), levels);
  for (std::size_t k = 0; k < steps.size(); ++k) {
    EXPECT_NEAR(times.starts[k].time_s, steps[k].first, 0.4) << k;
  }
}

// Times fitted to noise must not pass for found ones, whatever the noise.
TEST(TimeLevels, FindsNothingInNoise) {
  for (unsigned seed = 30; seed < 36; ++seed) {
    EXPECT_FALSE(Find(Film(0, false, seed), kLevels).found()) << seed;
  }
}

// Where the frames are silent the notes stand, with the error that they were noted with.
TEST(TimeLevels, KeepsNotedTimesWhereNothingShows) {
  std::vector<SetLevel> levels = kLevels;
  levels[1].start_s = 8;
  levels[2].start_s = 14;
  levels[3].start_s = 25;
  const LevelTimes times = Find(Film(0, false, 40), levels);
  for (std::size_t k = 0; k < 3; ++k) {
    EXPECT_NEAR(times.starts[k].time_s, *levels[k + 1].start_s, 3) << k;
  }
}

// A tenth of the current is a hundredth of the heat: nothing shows of it.
TEST(TimeLevels, SaysWhichLevelLeavesNoTrace) {
  const Steps steps = {{6.25, 0.06}, {15.75, 2.0}, {27.125, 0.0}};
  const LevelTimes times = Find(Film(0.05, false, 24, steps), {{0}, {0.06}, {2}, {0}});
  EXPECT_FALSE(times.starts[0].seen);
  EXPECT_TRUE(times.starts[1].seen);
  EXPECT_NEAR(times.starts[1].time_s, 15.75, 0.4);
  EXPECT_GT(times.starts[0].sigma_s, times.starts[1].sigma_s);
}

// Wrong lists of a staircase that ends at its top. One turned round looks like slow cooling, one
// that lacks a level like another staircase: both have evidence enough to be found.
TEST(TimeLevels, TellsListsThatFitFromOthers) {
  const Steps steps = {{7.25, 1.0}, {15.125, 2.0}, {22.5, 3.0}};
  const Stack stack = Film(0.5, false, 26, steps);
  const DiscoveredSteps shown = DiscoverSteps(stack, Plate{}, 0.5);
  ASSERT_TRUE(shown.certain);
  struct List {
    const char* name;
    std::vector<SetLevel> levels;
    bool fits;
  };
  for (const List& list : {List{"right", {{0}, {1}, {2}, {3}}, true},
                           List{"turned round", {{3}, {2}, {1}, {0}}, false},
                           List{"one left out", {{0}, {2}, {3}}, false}}) {
    const LevelTimes times = Find(stack, list.levels);
    EXPECT_EQ(times.fits(), list.fits)
        << list.name << " " << times.evidence << " of " << times.freed;
    EXPECT_EQ(Refutes(shown, times), !list.fits) << list.name << " of " << shown.of_all;
  }
}

// What is not certain itself refutes nothing.
TEST(TimeLevels, LeavesListsAsTheyAreWhereNothingIsCertain) {
  DiscoveredSteps steps;
  steps.evidence = steps.of_all = 100;
  steps.leads = true;
  LevelTimes times;
  times.starts.resize(2);
  times.evidence = 20;
  EXPECT_FALSE(Refutes(steps, times));
  steps.certain = true;
  EXPECT_TRUE(Refutes(steps, times));
  // As much evidence, but the liveliest place goes with the frames' own steps alone.
  times.evidence = 90;
  EXPECT_TRUE(Refutes(steps, times));
  times.leads = true;
  EXPECT_FALSE(Refutes(steps, times));
}

TEST(TimeLevels, RefusesMoreLevelsThanTheFilmHolds) {
  std::vector<SetLevel> levels;
  for (int i = 0; i < 81; ++i) levels.push_back({i % 2 == 0 ? 0.0 : 1.0});
  EXPECT_THROW(static_cast<void>(Find(Film(0, false, 25), levels)), DataError);
}

TEST(LogOfLevels, HoldsEachLevelUntilTheNext) {
  const SupplyLog log = LogOfLevels({{0}, {1}, {2}}, {5, 11}, 0, 20);
  ASSERT_EQ(log.time_s.size(), log.amps_a.size());
  for (std::size_t i = 0; i < log.time_s.size(); ++i) {
    const double expected_a = log.time_s[i] < 5 ? 0 : (log.time_s[i] < 11 ? 1 : 2);
    EXPECT_EQ(log.amps_a[i], expected_a) << log.time_s[i];
    if (i > 0) {
      EXPECT_GT(log.time_s[i], log.time_s[i - 1]);
    }
  }
  EXPECT_LE(log.time_s.front(), 0);
  EXPECT_GE(log.time_s.back(), 20);
}

}  // namespace
}  // namespace ohmglow
