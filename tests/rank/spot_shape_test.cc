// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_shape.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "support/scene.h"

namespace ohmglow {
namespace {

const cv::Size kSize(80, 60);
const Mask kAll(kSize, static_cast<unsigned char>(255));

// A Gaussian is at half of its peak 1.1774 standard deviations out.
TEST(MeasureShape, GivesARoundSpotItsHalfWidth) {
  const SpotShape shape = MeasureShape(testing::Blob(kSize, {40, 30}, 5), kAll, {40, 30}, {});
  const double radius_px = 1.1774 * 5;
  EXPECT_NEAR(shape.area_px, std::numbers::pi * radius_px * radius_px, 4);
  EXPECT_NEAR(shape.width_px, 2 * radius_px, 0.3);
  EXPECT_NEAR(shape.length_px, 2 * radius_px, 0.3);  // Four sd of a disc: its diameter.
  EXPECT_NEAR(shape.elongation, 1, 0.03);
  EXPECT_FALSE(shape.leaves_view);
  EXPECT_GT(shape.nearest_contact_px, 1e8);
}

Image Bar(double angle_rad) {
  Image bar(kSize);
  for (int y = 0; y < bar.rows; ++y) {
    for (int x = 0; x < bar.cols; ++x) {
      const double along = (x - 40) * std::cos(angle_rad) + (y - 30) * std::sin(angle_rad);
      const double across = (y - 30) * std::cos(angle_rad) - (x - 40) * std::sin(angle_rad);
      bar(y, x) = std::abs(along) < 22.5 && std::abs(across) < 2.5 ? 1.0F : 0.0F;
    }
  }
  return bar;
}

// A uniform bar 45 x 5: ratio 9, four sd along it 4 x 45 / sqrt(12) = 52.0.
TEST(MeasureShape, SeesAWireInAnyDirection) {
  for (const double angle_rad : {0.0, 0.4, 1.2}) {
    const SpotShape shape = MeasureShape(Bar(angle_rad), kAll, {40, 30}, {});
    EXPECT_NEAR(shape.elongation, 9, 1) << angle_rad;
    EXPECT_NEAR(shape.length_px, 52.0, 2) << angle_rad;
  }
}

TEST(MeasureShape, TakesOnlyThePatchOfThePeak) {
  const Image one = testing::Blob(kSize, {20, 30}, 3);
  const Image both(one + testing::Blob(kSize, {60, 30}, 3));
  EXPECT_EQ(MeasureShape(both, kAll, {20, 30}, {}).area_px,
            MeasureShape(one, kAll, {20, 30}, {}).area_px);
}

TEST(MeasureShape, KnowsWhenItLeavesTheView) {
  const Image spot = testing::Blob(kSize, {76, 30}, 4);
  EXPECT_TRUE(MeasureShape(spot, kAll, {76, 30}, {}).leaves_view);
  Mask seen = kAll.clone();
  seen.col(44) = static_cast<unsigned char>(0);
  EXPECT_TRUE(MeasureShape(testing::Blob(kSize, {40, 30}, 3), seen, {40, 30}, {}).leaves_view);
}

TEST(MeasureShape, MeasuresFromItsRimToTheClosestContact) {
  const Image bar = Bar(0);  // Columns 18 .. 62.
  const SpotShape shape = MeasureShape(bar, kAll, {40, 30}, {{68, 30}, {75, 5}});
  EXPECT_NEAR(shape.nearest_contact_px, 6, 1e-9);
}

// The rise at a peak of the match may be nothing: no reason to take the board in.
TEST(MeasureShape, OfNoRiseIsThePeakAlone) {
  const Image flat({40, 30}, 0.0F);
  const Mask seen({40, 30}, static_cast<unsigned char>(255));
  EXPECT_EQ(MeasureShape(flat, seen, {20, 15}, {}).area_px, 1);
  EXPECT_EQ(MeasureShape(Image(flat - 0.1), seen, {20, 15}, {}).area_px, 1);
}

}  // namespace
}  // namespace ohmglow
