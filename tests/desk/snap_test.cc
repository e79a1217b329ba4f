// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/snap.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::desk {
namespace {

// A light rectangle whose upper left corner is at a known fraction of a pixel, blurred as a
// lens does: made eight times finer and averaged.
Image CornerAt(Point corner) {
  constexpr int kFine = 8;
  constexpr int kSize = 48;
  Image fine(kSize * kFine, kSize * kFine, 10.0F);
  const auto first = [&](double v) { return cvRound((v + 0.5) * kFine); };
  fine(cv::Range(first(corner.y), fine.rows), cv::Range(first(corner.x), fine.cols)) = 90.0F;
  cv::GaussianBlur(fine, fine, {}, kFine);
  Image out;
  cv::resize(fine, out, {kSize, kSize}, 0, 0, cv::INTER_AREA);
  return out;
}

TEST(NearestCorner, FindsAKnownCornerFromAClickBesideIt) {
  const Point corner(20.375, 24.125);
  const Image picture = CornerAt(corner);
  for (const Point click :
       {Point(21.8, 25.3), Point(18.9, 23), Point(20.4, 24.1), Point(22, 22.6)}) {
    const Point found = NearestCorner(picture, click, 4);
    // Blur rounds a corner, and its edges' lines then cross inside it: some 0.4 px at this blur.
    EXPECT_LT(std::hypot(found.x - corner.x, found.y - corner.y), 0.5) << click << found;
  }
}

TEST(NearestCorner, LeavesTheClickWhereNothingIsNear) {
  const Image picture = CornerAt({20.375, 24.125});
  const Point click(38, 38);  // On the plain rectangle.
  EXPECT_EQ(NearestCorner(picture, click, 3), click);
  EXPECT_EQ(NearestCorner(picture, {0, 0}, 3), Point(0, 0));
  EXPECT_EQ(NearestCorner(picture, {-50, 900}, 3), Point(-50, 900));
}

}  // namespace
}  // namespace ohmglow::desk
