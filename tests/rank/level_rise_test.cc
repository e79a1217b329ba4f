// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/level_rise.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "support/scene.h"

namespace ohmglow {
namespace {

using testing::Steps;

const cv::Size kSize(72, 54);
const Steps kSteps = {{5, 1.0}, {14, 1.5}, {22, 2.0}, {31, 0.0}};
constexpr double kLagS = 1.5;

std::vector<LevelRise> Measure(double rise_k, double truth, double claimed, unsigned seed = 4) {
  Stack stack = testing::StillStack(kSize, 80, 4, 0.125);  // 40 s
  std::mt19937 random(seed);
  testing::AddNoise(random, 0.03, stack);
  testing::AddHeat(Image(rise_k * testing::Blob(kSize, {36, 27}, 2)), kSteps, kLagS, truth, stack);
  TemporalModel model = TemporalModel::OffsetAlone(stack);
  const Drive drive(testing::StepLog(kSteps, 40), 0);
  const Response response =
      FitResponse(PixelCourses(stack, model), stack, drive, MakeSourceCourses(Plate{}), {}, model);
  return MeasureLevelRises(response, model, drive, {36, 27}, claimed, rise_k);
}

TEST(MeasureLevelRises, GoWithTheSquareOfTheCurrentWhereTheHeatDoes) {
  const std::vector<LevelRise> levels = Measure(2, 2, 2);
  ASSERT_EQ(levels.size(), 3U);
  EXPECT_EQ(levels[0].amps_a, 1);
  EXPECT_EQ(levels[2].amps_a, 2);
  const double top_k = levels[2].rise_k;
  // What the levels before have left is too little heat by a few percent.
  EXPECT_NEAR(top_k, 2, 0.1);
  EXPECT_NEAR(levels[0].rise_k / top_k, 0.25, 0.02);
  EXPECT_NEAR(levels[1].rise_k / top_k, 0.5625, 0.03);
}

// The claim shapes the lags alone: a wrong one shows.
TEST(MeasureLevelRises, ContradictAWrongExponent) {
  const std::vector<LevelRise> levels = Measure(2, 1, 2);
  ASSERT_EQ(levels.size(), 3U);
  EXPECT_NEAR(levels[0].rise_k / levels[2].rise_k, 0.5, 0.06);
}

TEST(MeasureLevelRises, KnowTheirErrors) {
  double sum2 = 0;
  int count = 0;
  for (unsigned seed = 1; seed <= 8; ++seed) {
    const std::vector<LevelRise> levels = Measure(0.3, 2, 2, seed);
    ASSERT_EQ(levels.size(), 3U);
    for (const LevelRise& level : levels) {
      const double truth_k = 0.3 * std::pow(level.amps_a / 2, 2);
      sum2 += std::pow((level.rise_k - truth_k) / level.sigma_k, 2);
      ++count;
    }
  }
  // 24 values, scaled to the given rise and so tied: about one sigma, within a factor of two.
  EXPECT_GT(std::sqrt(sum2 / count), 0.4);
  EXPECT_LT(std::sqrt(sum2 / count), 2);
}

TEST(MeasureLevelRises, AreNoneWhereNothingRises) { EXPECT_TRUE(Measure(0, 2, 2).empty()); }

}  // namespace
}  // namespace ohmglow
