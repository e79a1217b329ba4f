// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/region_numbers.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace ohmglow {
namespace {

const cv::Size kSize(160, 120);
constexpr double kLevelK = 300;
constexpr double kSlopeX = 0.05;  // K a pixel
constexpr double kSlopeY = -0.03;

Image Ramp(double level_k = kLevelK) {
  Image image(kSize);
  for (int y = 0; y < image.rows; ++y) {
    for (int x = 0; x < image.cols; ++x) {
      image(y, x) = static_cast<float>(level_k + kSlopeX * x + kSlopeY * y);
    }
  }
  return image;
}

Mask All() { return Mask(kSize, uchar{255}); }

// Two pixels a millimetre; the board's corner at (20, 10).
const PlaneMap kMap{{2, 0, 20, 0, 2, 10, 0, 0, 1}};
const Region kRegion{"U1", {30, 20}, 20, 12};

TEST(MeasureRegion, ReadsARampAsItIs) {
  const RegionNumbers numbers = MeasureRegion(kRegion, kMap, {Ramp()}, All()).value();
  const double width_px = 40;
  const double height_px = 24;
  // Linear: the mean is the value in the middle, (80, 50).
  EXPECT_NEAR(numbers.mean_c, kLevelK + kSlopeX * 80 + kSlopeY * 50 - 273.15, 0.03);
  // An even spread over a length has a standard deviation of length / sqrt(12).
  EXPECT_NEAR(numbers.spread_k,
              std::hypot(kSlopeX * width_px, kSlopeY * height_px) / std::sqrt(12.0),
              0.02);
  // The middles of opposite quarters lie half a width and half a height apart.
  EXPECT_NEAR(numbers.quarters_k, kSlopeX * width_px / 2 - kSlopeY * height_px / 2, 0.03);
  EXPECT_NEAR(
      numbers.max_c, numbers.mean_c + kSlopeX * width_px / 2 - kSlopeY * height_px / 2, 0.08);
  EXPECT_EQ(numbers.sigma_k, 0);  // One picture tells no wandering.
}

TEST(MeasureRegion, CountsTheWanderingOfTheWholePicture) {
  const RegionNumbers numbers =
      MeasureRegion(kRegion, kMap, {Ramp(300), Ramp(300.3), Ramp(299.7), Ramp(300)}, All()).value();
  // Four means that scatter by sqrt(0.18 / 3): the error of their mean is half of it.
  EXPECT_NEAR(numbers.sigma_k, std::sqrt(0.18 / 3) / 2, 1e-3);
  EXPECT_NEAR(numbers.mean_c, kLevelK + kSlopeX * 80 + kSlopeY * 50 - 273.15, 0.03);
}

// A region much larger than sixty pixels, turned by 30 degrees.
TEST(MeasureRegion, StepsOverNoPixel) {
  const double c = 2 * std::cos(std::numbers::pi / 6);
  const double s = 2 * std::sin(std::numbers::pi / 6);
  const PlaneMap turned{{c, -s, 80, s, c, 60, 0, 0, 1}};
  const Region region{"all", {0, 0}, 44, 36};
  for (int i = 0; i < 60; ++i) {
    Image image(kSize, 300.0F);
    image(45 + i / 2, 60 + i % 37) = 310;
    const RegionNumbers numbers = MeasureRegion(region, turned, {image}, All()).value();
    EXPECT_NEAR(numbers.max_c, 310 - 273.15, 1e-3) << i;
  }
}

TEST(MeasureRegion, LeavesOutWhatWasNotSeen) {
  Image image = Ramp();
  Mask seen = All();
  seen(cv::Rect(80, 0, 10, 120)) = uchar{0};
  image(cv::Rect(80, 0, 10, 120)) = 900;
  const RegionNumbers numbers = MeasureRegion(kRegion, kMap, {image}, seen).value();
  EXPECT_LT(numbers.max_c, 60);
}

TEST(MeasureRegion, IsEmptyWhereLessThanHalfWasSeen) {
  EXPECT_FALSE(MeasureRegion({"beyond", {300, 20}, 20, 12}, kMap, {Ramp()}, All()));
  // Its middle lies on the frame's rim at x = -0.5: a millimetre decides.
  EXPECT_FALSE(MeasureRegion({"rim", {-11.25, 20}, 20, 12}, kMap, {Ramp()}, All()));
  EXPECT_TRUE(MeasureRegion({"rim", {-9.25, 20}, 20, 12}, kMap, {Ramp()}, All()));
  EXPECT_FALSE(MeasureRegion(kRegion, kMap, {Ramp()}, Mask(kSize, uchar{0})));
}

TEST(MeasureRegion, ReadsARegionSmallerThanAPixel) {
  const RegionNumbers numbers =
      MeasureRegion({"dot", {30, 20}, 0.1, 0.1}, kMap, {Ramp()}, All()).value();
  EXPECT_NEAR(numbers.mean_c, kLevelK + kSlopeX * 80 + kSlopeY * 50 - 273.15, 1e-3);
  EXPECT_EQ(numbers.quarters_k, 0);
}

}  // namespace
}  // namespace ohmglow
