// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/pair_search.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>

namespace ohmglow {
namespace {

const cv::Size kSize(64, 48);

// Smooth noise, in one corner only where asked for.
Texture Scene(bool corner_only) {
  Texture out{Image(kSize), Mask(kSize, uchar{255})};
  cv::RNG random(7);
  random.fill(out.value, cv::RNG::NORMAL, 0, 1);
  cv::GaussianBlur(out.value, out.value, {0, 0}, 1.5);
  if (corner_only) {
    out.value.colRange(24, 64).setTo(0);
    out.value.rowRange(20, 48).setTo(0);
  }
  return out;
}

PlaneMap Shift(double dx, double dy) { return PlaneMap{{1, 0, dx, 0, 1, dy, 0, 0, 1}}; }

PairAlignOptions Narrow() {
  PairAlignOptions options;
  options.max_rotation_deg = 3;
  options.max_scale = 1.06;
  return options;
}

TEST(SearchPair, FindsAShiftEitherWay) {
  const Texture scene = Scene(false);
  for (const Point shift : {Point(9, -6), Point(-12, 5), Point(0, 0)}) {
    const PlaneMap truth = Shift(shift.x, shift.y);
    const Texture after = WarpTexture(scene, truth.Inverse(), kSize);
    const auto found = SearchPair(scene, after, Narrow(), 3);
    ASSERT_FALSE(found.empty());
    EXPECT_LT(CornerDistance(found.front().after_from_before, truth, kSize), 1.5);
    EXPECT_GT(found.front().agreement, 0.9);
  }
}

TEST(SearchPair, ListsDistinctMapsBestFirst) {
  const auto found = SearchPair(Scene(false), Scene(false), Narrow(), 4);
  ASSERT_EQ(found.size(), 4U);
  for (std::size_t i = 1; i < found.size(); ++i) {
    EXPECT_LE(found[i].agreement, found[i - 1].agreement);
    EXPECT_GE(CornerDistance(found[i].after_from_before, found[0].after_from_before, kSize), 6.4);
  }
}

// A correlation is at most one, wherever the rest of the picture is plain.
TEST(SearchPair, ComparesNoRounding) {
  const auto found = SearchPair(Scene(true), Scene(true), Narrow(), 4);
  ASSERT_FALSE(found.empty());
  EXPECT_LE(found.front().agreement, 1.0001);
  EXPECT_LT(CornerDistance(found.front().after_from_before, {}, kSize), 1.5);
}

TEST(SearchPair, FindsNothingInPlainOrUnseenPictures) {
  const Texture plain{Image(kSize, 0.0F), Mask(kSize, uchar{255})};
  const Texture unseen{Image(kSize, 0.0F), Mask(kSize, uchar{0})};
  EXPECT_TRUE(SearchPair(plain, plain, Narrow(), 3).empty());
  EXPECT_TRUE(SearchPair(unseen, Scene(false), Narrow(), 3).empty());
  EXPECT_TRUE(SearchPair(Scene(false), unseen, Narrow(), 3).empty());
}

}  // namespace
}  // namespace ohmglow
