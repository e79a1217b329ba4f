// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/growth.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "support/scene.h"

namespace ohmglow {
namespace {

using testing::Steps;

const cv::Size kSize(72, 54);
const Steps kSteps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};
constexpr double kMmPerPixel = 0.5;
constexpr double kSpotPx = 4;
constexpr double kLagS = 1.5;

Growth Measure(double rise_k) {
  Stack stack = testing::StillStack(kSize, 80, 4, 0.125);  // 40 s
  std::mt19937 random(4);
  testing::AddNoise(random, 0.03, stack);
  testing::AddHeat(
      Image(rise_k * testing::Blob(kSize, {36, 27}, kSpotPx)), kSteps, kLagS, 2, stack);
  TemporalModel model = TemporalModel::OffsetAlone(stack);
  const Drive drive(testing::StepLog(kSteps, 40), 0);
  const Response response =
      FitResponse(PixelCourses(stack, model), stack, drive, MakeSourceCourses(Plate{}), {}, model);
  return MeasureGrowth(response, model, drive, {36, 27}, kMmPerPixel, kLagS, 2);
}

TEST(MeasureGrowth, FollowsTheRiseBinByBin) {
  const Growth growth = Measure(2);
  ASSERT_EQ(growth.points.size(), 80U);
  for (const GrowthPoint& point : growth.points) {
    // A mean over the middle 0.8 px of a spot of 4 px is 4 % below its peak.
    const double truth = 2 * 0.96 * testing::LagOfSteps(kSteps, point.time_s, kLagS, 2);
    // Drift and three lags are fitted with it: good to a twentieth of the largest rise.
    EXPECT_NEAR(point.rise_k, truth, 0.1) << point.time_s;
  }
  EXPECT_EQ(growth.points[0].amps_a, 0);
  EXPECT_EQ(growth.points[20].amps_a, 1);  // 10 s
  EXPECT_EQ(growth.points[45].amps_a, 2);  // 22 s
}

// At the end of the highest current: the area above half of a Gaussian, and its
// integral 2 pi s^2 cut at 8 mm, four standard deviations.
TEST(MeasureGrowth, MeasuresAreaAndHeat) {
  const Growth growth = Measure(2);
  const GrowthPoint& end = growth.points[55];  // 27.7 s
  const double spot_mm = kSpotPx * kMmPerPixel;
  EXPECT_NEAR(end.area_mm2, std::numbers::pi * std::pow(1.1774 * spot_mm, 2), 2);
  EXPECT_NEAR(end.heat_k_mm2, 2 * 2 * std::numbers::pi * spot_mm * spot_mm, 5);
  EXPECT_EQ(growth.points[5].area_mm2, 0);
  EXPECT_LT(growth.points[30].area_mm2, end.area_mm2);  // At a quarter of the power.
}

TEST(MeasureGrowth, FindsTheOnset) {
  const Growth growth = Measure(2);
  ASSERT_TRUE(growth.onset_s.has_value());
  EXPECT_GT(*growth.onset_s, 4.9);
  EXPECT_LT(*growth.onset_s, 6.1);
}

TEST(MeasureGrowth, KnowsTheErrorOfItsFit) {
  const Growth growth = Measure(2);
  double sum2 = 0;
  for (const GrowthPoint& point : growth.points) {
    ASSERT_TRUE(point.fit_k && point.fit_sigma_k);
    const double truth = 2 * 0.96 * testing::LagOfSteps(kSteps, point.time_s, kLagS, 2);
    // What drift and heat may share is far more than the noise of the points: up to
    // a twentieth of the rise; before the heat nothing is fitted.
    EXPECT_LT(*point.fit_sigma_k, 0.1) << point.time_s;
    if (point.time_s < 4.5) {
      EXPECT_LT(*point.fit_sigma_k, 1e-6);
    }
    EXPECT_LT(std::abs(*point.fit_k - truth), 3 * *point.fit_sigma_k + 0.01) << point.time_s;
    sum2 += std::pow(point.rise_k - *point.fit_k, 2);
  }
  const double rest_k = std::sqrt(sum2 / 80);
  EXPECT_GT(rest_k, 0.003);
  EXPECT_LT(rest_k, 0.02);
}

TEST(MeasureGrowth, OfNothingStaysNearZero) {
  for (const GrowthPoint& point : Measure(0).points) EXPECT_NEAR(point.rise_k, 0, 0.06);
}

}  // namespace
}  // namespace ohmglow
