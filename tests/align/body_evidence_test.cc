// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/body_evidence.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <random>
#include <vector>

namespace ohmglow {
namespace {

// Ten bodies of several sizes on a board of 60 mm x 40 mm.
std::vector<cv::Rect2d> Bodies() {
  std::vector<cv::Rect2d> bodies;
  for (int n = 0; n < 10; ++n) {
    bodies.emplace_back(4 + 11 * (n % 5) + 0.37 * n, 5 + 18 * (n / 5), 2 + n % 4, 1.5 + n % 3);
  }
  return bodies;
}

const PlaneMap kPictureFromBoard{{8, 0.1, 12, -0.1, 8, 9, 0, 0, 1}};

void Fill(Image& picture, const cv::Rect2d& box, float value) {
  std::vector<cv::Point> corners;
  for (const Point p : {box.tl(), Point(box.br().x, box.y), box.br(), Point(box.x, box.br().y)}) {
    corners.emplace_back(kPictureFromBoard.Apply(p));
  }
  cv::fillConvexPoly(picture, corners, cv::Scalar(value));
}

// Bodies lighter and darker than the board, scratches that are in no list, noise.
Image Picture(const std::vector<cv::Rect2d>& bodies) {
  Image picture(340, 520, 100.0F);
  std::mt19937 random(3);
  std::uniform_real_distribution<double> share(0, 1);
  for (int n = 0; n < 40; ++n) {
    const double length = 1 + 8 * share(random);
    const bool flat = n % 2 == 0;
    Fill(picture,
         {58 * share(random), 38 * share(random), flat ? length : 0.4, flat ? 0.4 : length},
         130);
  }
  for (std::size_t n = 0; n < bodies.size(); ++n) Fill(picture, bodies[n], n % 2 == 0 ? 50 : 160);
  cv::Mat noise(picture.size(), CV_32F);
  cv::RNG generator(5);
  generator.fill(noise, cv::RNG::NORMAL, 0, 4);
  return Image(picture + noise);
}

PlaneMap Moved(double right_mm, double down_mm) {
  return PlaneMap{kPictureFromBoard.matrix * cv::Matx33d(1, 0, right_mm, 0, 1, down_mm, 0, 0, 1)};
}

TEST(BodyEvidence, TellsThePlaceFromOthers) {
  const auto bodies = Bodies();
  const PhotoLevels picture(Picture(bodies));
  const double here = BodyEvidence(picture, kPictureFromBoard, bodies);
  EXPECT_GT(here, 20);
  // What sizes and a coarse map leave open costs little, another place all.
  EXPECT_GT(BodyEvidence(picture, Moved(0.15, -0.15), bodies), 0.7 * here);
  for (const double off_mm : {-9.0, -3.0, 2.0, 5.0}) {
    EXPECT_LT(BodyEvidence(picture, Moved(off_mm, 0.4 * off_mm), bodies), 0.4 * here) << off_mm;
  }
}

// A likelihood ratio has the mean 1 where the other hypothesis is true.
TEST(BodyEvidence, IsALikelihoodRatioOverAllPlaces) {
  const PhotoLevels picture(Picture({}));
  double sum = 0;
  int count = 0;
  for (double y = -14; y <= 14; y += 2.3) {
    for (double x = -14; x <= 14; x += 2.3) {
      // The first and the last lie beyond the picture: all of it is in the list's rectangle.
      const std::vector<cv::Rect2d> one = {{-30, -30, 2, 2}, {26, 18, 3, 2}, {85, 65, 2, 2}};
      sum += std::exp(BodyEvidence(picture, Moved(x, y), one));
      ++count;
    }
  }
  EXPECT_NEAR(sum / count, 1, 0.35);
}

TEST(BodyEvidence, SaysNothingOfWhatIsOutOfViewOrFlat) {
  const auto bodies = Bodies();
  EXPECT_EQ(BodyEvidence(PhotoLevels(Picture(bodies)), Moved(500, 0), bodies), 0);
  EXPECT_LT(BodyEvidence(PhotoLevels(Image(340, 520, 7.0F)), kPictureFromBoard, bodies), 0);
}

}  // namespace
}  // namespace ohmglow
