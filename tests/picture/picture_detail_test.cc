// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/picture_detail.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

namespace ohmglow::internal {
namespace {

// A chequered square of 40 px in an even picture.
cv::Mat Chequered(int type) {
  cv::Mat picture(100, 200, type, cv::Scalar::all(60));
  for (int y = 30; y < 70; y += 8) {
    for (int x = 20; x < 60; x += 8) {
      const double grey = (x + y) / 8 % 2 == 0 ? 200 : 20;
      cv::rectangle(picture, cv::Rect(x, y, 8, 8), cv::Scalar::all(grey), cv::FILLED);
    }
  }
  return picture;
}

TEST(PictureDetail, IsWhereThePictureHasEdges) {
  for (const int type : {CV_8UC1, CV_8UC3}) {
    const cv::Mat picture = Chequered(type);
    const cv::Mat before = picture.clone();
    const PictureDetail detail(picture);
    EXPECT_EQ(cv::norm(picture, before), 0);  // The picture itself stays as it is.
    EXPECT_GT(detail.Around({40, 50}, 10), 0.9);
    EXPECT_EQ(detail.Around({150, 50}, 10), 0);
    EXPECT_EQ(detail.Around({-50, 50}, 10), 0);
    EXPECT_GT(detail.Along({25, 50}, {55, 50}, 3), 0.8);
    EXPECT_EQ(detail.Along({100, 20}, {180, 90}, 3), 0);
    EXPECT_GT(detail.Along({40, 50}, {180, 50}, 3), 0.1);
    EXPECT_LT(detail.Along({40, 50}, {180, 50}, 3), 0.3);
  }
}

TEST(PictureDetail, IsNowhereWithoutAPicture) {
  const PictureDetail none;
  EXPECT_EQ(none.Around({0, 0}, 5), 0);
  EXPECT_EQ(none.Along({0, 0}, {9, 9}, 5), 0);
}

}  // namespace
}  // namespace ohmglow::internal
