// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/overrun.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

namespace ohmglow {
namespace {

const cv::Size kSize(40, 30);

Mask Disc(cv::Point center, int radius) {
  Mask mask(kSize, static_cast<unsigned char>(0));
  cv::circle(mask, center, radius, 255, cv::FILLED);
  return mask;
}

TEST(JoinAtOverruns, MakesOnePlaceOfThePeaksOnARim) {
  const std::vector<Peak> peaks = {{{25, 12}, 9}, {{5, 5}, 8}, {{15, 12}, 7}, {{33, 25}, 2}};
  const std::vector<Peak> joined = JoinAtOverruns(peaks, Disc({20, 12}, 4));
  ASSERT_EQ(joined.size(), 3U);
  EXPECT_NEAR(joined[0].at_px.x, 20, 1e-9);
  EXPECT_NEAR(joined[0].at_px.y, 12, 1e-9);
  EXPECT_EQ(joined[0].height, 9);
  EXPECT_NEAR(joined[0].overrun_px, 4, 0.3);
  EXPECT_EQ(joined[1].at_px, Point(5, 5));
  EXPECT_EQ(joined[1].overrun_px, 0);
  EXPECT_EQ(joined[2].at_px, Point(33, 25));
}

TEST(JoinAtOverruns, NamesNoPlaceWhereNothingIsWarmAroundTheHole) {
  EXPECT_EQ(JoinAtOverruns({{{5, 5}, 8}}, Disc({20, 12}, 4)).front().at_px, Point(5, 5));
  EXPECT_TRUE(JoinAtOverruns({}, Disc({20, 12}, 4)).empty());
  EXPECT_EQ(JoinAtOverruns({{{5, 5}, 8}}, Mask()).size(), 1U);
}

TEST(FillOverruns, TakesTheLargestOfTheRim) {
  Image map(kSize, 1.0F);
  map(12, 25) = 6;
  map(25, 5) = 50;  // far from the hole
  const Image filled = FillOverruns(map, Disc({20, 12}, 4), {});
  EXPECT_EQ(filled(12, 20), 6);
  EXPECT_EQ(filled(12, 35), 1);
  EXPECT_EQ(cv::norm(FillOverruns(map, Mask(), {}), map), 0);
}

TEST(FillOverruns, TakesWhatWasReadBeforeTheHoleWhereThatIsMore) {
  Image map(kSize, 1.0F);
  map(12, 25) = 6;
  Image read_k(kSize, 0.0F);
  read_k(13, 19) = 4;
  const Mask hole = Disc({20, 12}, 4);
  EXPECT_EQ(FillOverruns(map, hole, read_k)(12, 20), 6);
  read_k(13, 19) = 9;
  EXPECT_EQ(FillOverruns(map, hole, read_k)(12, 20), 9);
  EXPECT_EQ(FillOverruns(map, hole, read_k)(12, 35), 1);
}

}  // namespace
}  // namespace ohmglow
