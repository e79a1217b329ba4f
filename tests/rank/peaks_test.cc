// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/peaks.h"

#include <gtest/gtest.h>

#include <cmath>

namespace ohmglow {
namespace {

// A ridge of the given heights in a cold map.
Image Ridge(const std::vector<float>& heights) {
  Image map(5, static_cast<int>(heights.size()) + 2, 0.0F);
  for (std::size_t i = 0; i < heights.size(); ++i) map(2, static_cast<int>(i) + 1) = heights[i];
  return map;
}

std::vector<int> Columns(const std::vector<Peak>& peaks) {
  std::vector<int> columns;
  for (const Peak& peak : peaks) columns.push_back(cvRound(peak.at_px.x));
  return columns;
}

TEST(FindPeaks, PartsWhatADeepSaddleParts) {
  EXPECT_EQ(Columns(FindPeaks(Ridge({2, 8, 5, 7, 2}), 1, 0.75)), (std::vector<int>{2, 4}));
  // 5.5 of 7 is above three quarters: ripples on one plateau.
  EXPECT_EQ(Columns(FindPeaks(Ridge({2, 8, 5.5, 7, 2}), 1, 0.75)), (std::vector<int>{2}));
  EXPECT_EQ(Columns(FindPeaks(Ridge({2, 8, 5.5, 7, 2}), 1, 0.8)), (std::vector<int>{2, 4}));
}

TEST(FindPeaks, AsksForTheDepthThatEachMaximumIsGiven) {
  const Image ridge = Ridge({2, 8, 6.5, 7, 2});
  Image depth(ridge.size(), 0.4F);
  EXPECT_EQ(Columns(FindPeaks(ridge, 1, depth)), (std::vector<int>{2, 4}));
  depth.col(4) = 0.6F;  // at the lower one: it counts
  EXPECT_EQ(Columns(FindPeaks(ridge, 1, depth)), (std::vector<int>{2}));
  depth.col(4) = 0.4F;
  depth.col(2) = 5;  // at the higher one: it does not
  EXPECT_EQ(Columns(FindPeaks(ridge, 1, depth)), (std::vector<int>{2, 4}));
}

// The saddle counts against the lower peak's own height, not the highest one's.
TEST(FindPeaks, GivesAFaintPlaceItsOwnScale) {
  EXPECT_EQ(Columns(FindPeaks(Ridge({100, 3, 6, 3}), 1, 0.75)), (std::vector<int>{1, 3}));
  EXPECT_EQ(Columns(FindPeaks(Ridge({100, 5, 6, 5}), 1, 0.75)), (std::vector<int>{1}));
}

TEST(FindPeaks, KeepsAPeakBeyondASwallowedOne) {
  // 6 drowns in the flank of 9; 8 does not.
  EXPECT_EQ(Columns(FindPeaks(Ridge({9, 5.5, 6, 4, 8}), 1, 0.75)), (std::vector<int>{1, 5}));
}

TEST(FindPeaks, ListsTheHighestFirstAndNoneBelowTheThreshold) {
  const std::vector<Peak> peaks = FindPeaks(Ridge({3, 0, 9, 0, 6, 0, 1.9F}), 2, 0.75);
  EXPECT_EQ(Columns(peaks), (std::vector<int>{3, 5, 1}));
  EXPECT_EQ(peaks.front().height, 9);
  EXPECT_TRUE(FindPeaks(Ridge({3, 4, 3}), 5, 0.75).empty());
}

TEST(FindPeaks, CountsAPlateauOnceAndJoinsCorners) {
  EXPECT_EQ(FindPeaks(Image(6, 7, 3.0F), 1, 0.75).size(), 1U);
  Image corners(5, 5, 0.0F);
  corners(1, 1) = 4;
  corners(2, 2) = 3.9F;
  EXPECT_EQ(FindPeaks(corners, 1, 0.75).size(), 1U);
}

TEST(FindPeaks, PlacesAParabolaExactly) {
  Image map(11, 15);
  for (int y = 0; y < map.rows; ++y) {
    for (int x = 0; x < map.cols; ++x) {
      map(y, x) = static_cast<float>(200 - std::pow(x - 7.3, 2) - 2 * std::pow(y - 4.8, 2));
    }
  }
  const std::vector<Peak> peaks = FindPeaks(map, 1, 0.75);
  ASSERT_EQ(peaks.size(), 1U);
  EXPECT_NEAR(peaks[0].at_px.x, 7.3, 1e-4);
  EXPECT_NEAR(peaks[0].at_px.y, 4.8, 1e-4);
}

TEST(FindPeaks, StaysInsideTheMap) {
  Image map(4, 4, 0.0F);
  map(0, 3) = 5;
  map(0, 2) = 4;
  const std::vector<Peak> peaks = FindPeaks(map, 1, 0.75);
  ASSERT_EQ(peaks.size(), 1U);
  EXPECT_EQ(peaks[0].at_px, Point(3, 0));
}

// E[EC] = R 4 ln2 (2 pi)^(-3/2) t exp(-t^2/2): Worsley et al., Hum. Brain Mapp.
// 4 (1996) 58-73. R = 100, t = 3.8: Brett, Penny, Kiebel, in Human Brain Function,
// 2nd ed. 2004 (from memory, recomputed); then by the formula:
// 256 x 192 pixels, FWHM 5 and 10 px, 5 %.
TEST(NoiseThreshold, AgreesWithRandomFieldTheory) {
  EXPECT_NEAR(NoiseThreshold(100, 1, 1, 0.04895), 3.8, 1e-3);
  EXPECT_NEAR(NoiseThreshold(256 * 192, 5, 1, 0.05), 4.5515, 5e-4);
  EXPECT_NEAR(NoiseThreshold(256 * 192, 10, 1, 0.05), 4.2179, 5e-4);
}

// And it stays below the Bonferroni bound of independent pixels, 4.750 (recomputed).
TEST(NoiseThreshold, SharesTheChanceAmongMaps) {
  EXPECT_NEAR(NoiseThreshold(256 * 192, 5, 4, 0.05), NoiseThreshold(256 * 192, 5, 1, 0.0125), 1e-9);
  EXPECT_LT(NoiseThreshold(256 * 192, 5, 1, 0.05), 4.750);
}

}  // namespace
}  // namespace ohmglow
