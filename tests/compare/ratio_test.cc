// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/ratio.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace ohmglow {
namespace {

const cv::Size kSize(120, 96);
constexpr double kMm = 0.5;
const Point kPlace(50, 44);
constexpr double kSpotMm = 1.5;

// A Gaussian spot, its size counted on the board.
void AddSpot(Image& image, Point at_px, double height, double sigma_px) {
  for (int y = 0; y < image.rows; ++y) {
    for (int x = 0; x < image.cols; ++x) {
      const double r2 = std::pow(x - at_px.x, 2) + std::pow(y - at_px.y, 2);
      image(y, x) += static_cast<float>(height * std::exp(-0.5 * r2 / (sigma_px * sigma_px)));
    }
  }
}

StrengthView View(double height, Point at_px = kPlace, double mm_per_pixel = kMm) {
  Image map(kSize, 0.0F);
  AddSpot(map, at_px, height, kSpotMm / mm_per_pixel);
  return {map, Mask(kSize, uchar{255}), mm_per_pixel};
}

void AddNoise(StrengthView& view, double sigma, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<float> noise(0, static_cast<float>(sigma));
  for (float& value : view.map) value += noise(random);
}

TEST(FitRatio, IsExactWithoutNoise) {
  for (const double factor : {0.0, 0.25, 1.0, 3.0}) {
    const RatioFit fit = FitRatio(View(2), View(2 * factor), {}, kPlace, {});
    EXPECT_TRUE(fit.seen);
    EXPECT_NEAR(fit.ratio, factor, 1e-4 + 1e-3 * factor);
  }
}

// The camera stands elsewhere and farther away.
TEST(FitRatio, FollowsTheMap) {
  const double scale = 0.8;
  const double c = scale * std::cos(0.3);
  const double s = scale * std::sin(0.3);
  const PlaneMap map{{c, -s, 25.3, s, c, -4.1, 0, 0, 1}};
  const RatioFit fit = FitRatio(View(2), View(1, map.Apply(kPlace), kMm / scale), map, kPlace, {});
  EXPECT_NEAR(fit.ratio, 0.5, 0.02);  // The place is rounded to the second view's pixels.
}

TEST(FitRatio, StatesTheErrorThatNoiseMakes) {
  double sum_squared = 0;
  double sum_variance = 0;
  constexpr int kRuns = 12;
  for (unsigned i = 0; i < kRuns; ++i) {
    StrengthView second = View(0.5);
    AddNoise(second, 1, i);
    const RatioFit fit = FitRatio(View(1), second, {}, kPlace, {});
    sum_squared += std::pow(fit.ratio - 0.5, 2) / kRuns;
    sum_variance += fit.sigma * fit.sigma / kRuns;
  }
  // Twelve squares: their mean scatters by sqrt(2 / 12), so 2.2 is three sigmas.
  EXPECT_LT(sum_squared, 2.2 * sum_variance);
  EXPECT_GT(sum_squared, 0.2 * sum_variance);
  EXPECT_GT(sum_variance, 1e-4);
}

TEST(FitRatio, DoublesTheErrorWithTheNoise) {
  StrengthView quiet = View(1);
  StrengthView loud = View(1);
  AddNoise(quiet, 0.2, 5);
  AddNoise(loud, 0.4, 5);
  const double once = FitRatio(View(1), quiet, {}, kPlace, {}).sigma;
  const double twice = FitRatio(View(1), loud, {}, kPlace, {}).sigma;
  EXPECT_NEAR(twice, 2 * once, 0.1 * once);
}

TEST(FitRatio, LeavesTheRivalItsHeat) {
  // A rival 5 mm away went out; the place itself stayed.
  const Point rival(60, 44);
  StrengthView first = View(1);
  AddSpot(first.map, rival, 3, kSpotMm / kMm);
  const double told = FitRatio(first, View(1), {}, kPlace, {rival}).ratio;
  const double untold = FitRatio(first, View(1), {}, kPlace, {}).ratio;
  EXPECT_NEAR(told, 1, 0.4);
  EXPECT_LT(untold, 0.5);
}

TEST(FitRatio, DoesNotSeeWhatIsOutside) {
  const PlaneMap aside{{1, 0, 200, 0, 1, 0, 0, 0, 1}};
  EXPECT_FALSE(FitRatio(View(1), View(1), aside, kPlace, {}).seen);
  StrengthView masked = View(1);
  masked.seen(cv::Rect(30, 24, 40, 40)) = uchar{0};
  EXPECT_FALSE(FitRatio(View(1), masked, {}, kPlace, {}).seen);
  StrengthView blind = View(1);
  blind.seen.setTo(0);
  EXPECT_FALSE(FitRatio(View(1), blind, {}, kPlace, {}).seen);
}

// A cold place is disturbed by something: it is no certain nothing.
TEST(FitRatio, DoubtsWhatLiesFarBelowZero) {
  StrengthView second = View(-1);
  AddNoise(second, 0.01, 3);
  const RatioFit fit = FitRatio(View(1), second, {}, kPlace, {});
  EXPECT_NEAR(fit.ratio, -1, 0.01);
  EXPECT_GE(fit.sigma, 0.49);
}

// 5 mm around the place there is no room to see what else the map holds.
TEST(FitRatio, ClaimsNothingWhereThereIsNoRoomToJudge) {
  const cv::Rect around(40, 34, 20, 20);
  StrengthView second = View(1);
  Mask seen(kSize, uchar{0});
  seen(around) = uchar{255};
  second.seen = seen;
  const RatioFit fit = FitRatio(View(1), second, {}, kPlace, {});
  EXPECT_TRUE(fit.seen);
  EXPECT_EQ(fit.sigma, 9);
}

}  // namespace
}  // namespace ohmglow
