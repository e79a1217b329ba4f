// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/body_rectangles.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace ohmglow {
namespace {

const std::vector<cv::Rect2d> kBodies{{0, 0, 2, 2}, {8, 4, 2, 2}};

TEST(RectangleAround, HoldsAllBodies) {
  EXPECT_EQ(RectangleAround(kBodies), cv::Rect2d(0, 0, 10, 6));
  EXPECT_TRUE(RectangleAround({}).empty());
}

// Middles at (1, 1) and (9, 5). Two pixels a millimetre; the other map's are 2.5: the same pixel
// is 0.8 times as far from the corner there, so that they lie 0.2 of their distance apart.
TEST(ApartMm, IsTheRmsOverTheBodiesThatCount) {
  const PlaneMap map{{2, 0, 0, 0, 2, 0, 0, 0, 1}};
  const PlaneMap other{{2.5, 0, 0, 0, 2.5, 0, 0, 0, 1}};
  const double all = 0.2 * std::sqrt((2.0 + 106.0) / 2);
  EXPECT_NEAR(ApartMm(map, other, kBodies), all, 1e-12);
  EXPECT_NEAR(ApartMm(map, other, kBodies, cv::Size(10, 10)), 0.2 * std::sqrt(2.0), 1e-12);
  EXPECT_EQ(ApartMm(map, other, kBodies, cv::Size(1, 1)), 0);
  EXPECT_NEAR(ApartMm(map, map, kBodies), 0, 1e-12);
}

}  // namespace
}  // namespace ohmglow
