// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/body_search.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "align/body_fit.h"

namespace ohmglow {
namespace {

const cv::Size kFrame(240, 180);
// A quarter turn and 4 degrees, mirrored, 3 px a millimetre, somewhat slanted.
const PlaneMap kTruth{{0.21, -2.99, 165, -2.99, -0.21, 170, 0.0004, 0, 1}};

std::vector<cv::Rect2d> Bodies() {
  std::vector<cv::Rect2d> bodies;
  for (int n = 0; n < 12; ++n) {
    bodies.emplace_back(
        4 + 12 * (n % 4) + 1.3 * (n % 3), 4 + 11 * (n / 4) + 0.9 * (n % 2), 2 + n % 3, 1.5 + n % 4);
  }
  return bodies;
}

// Bodies a tenth of a kelvin above the board, noise of a third of that.
Image Thermal(const std::vector<cv::Rect2d>& bodies) {
  Image picture(kFrame, 295.0F);
  constexpr int kShift = 4;
  for (const cv::Rect2d& b : bodies) {
    std::vector<cv::Point> corners;
    for (const Point p : {b.tl(), Point(b.br().x, b.y), b.br(), Point(b.x, b.br().y)}) {
      corners.emplace_back(kTruth.Apply(p) * double(1 << kShift));
    }
    cv::fillConvexPoly(picture, corners, cv::Scalar(295.1), cv::LINE_8, kShift);
  }
  cv::GaussianBlur(picture, picture, {0, 0}, 0.7);
  cv::Mat noise(kFrame, CV_32F);
  cv::RNG generator(11);
  generator.fill(noise, cv::RNG::NORMAL, 0, 0.03);
  return Image(picture + noise);
}

// Rms over the middles of the bodies [mm].
double ErrorMm(const PlaneMap& map, const std::vector<cv::Rect2d>& bodies) {
  double sum = 0;
  for (const cv::Rect2d& body : bodies) {
    const Point middle = 0.5 * (body.tl() + body.br());
    const Point off = map.Inverse().Apply(kTruth.Apply(middle)) - middle;
    sum += off.dot(off) / static_cast<double>(bodies.size());
  }
  return std::sqrt(sum);
}

TEST(SearchBodies, FindsThePlaceAmongAllPlacesScalesAndHands) {
  const auto bodies = Bodies();
  const PhotoLevels picture(Thermal(bodies));
  const BodySearch how{0.35, 0.12};  // In truth 0.33.
  const auto maps = SearchBodies(picture, Mask(kFrame, uchar{255}), bodies, how);
  ASSERT_FALSE(maps.empty());
  EXPECT_LE(maps.size(), static_cast<std::size_t>(how.most));
  EXPECT_LT(ErrorMm(maps.front(), bodies), 1.5);
  EXPECT_LT(cv::determinant(maps.front().Jacobian({20, 15})), 0);
  FittedBodies best;
  double elsewhere = 0;
  for (const PlaneMap& map : maps) {
    const FittedBodies fitted = FitBodies(picture, map, bodies, kBodySearchOffMm);
    if (ErrorMm(fitted.picture_from_board, bodies) > 2) {
      elsewhere = std::max(elsewhere, fitted.evidence);
    } else if (fitted.evidence > best.evidence) {
      best = fitted;
    }
  }
  EXPECT_LT(ErrorMm(best.picture_from_board, bodies), 0.4);
  EXPECT_GT(best.evidence, 25);
  EXPECT_LT(elsewhere, 0.6 * best.evidence);
}

TEST(SearchBodies, FindsNothingWhereNothingShows) {
  const auto bodies = Bodies();
  const PhotoLevels flat(Image(kFrame, 295.0F));
  EXPECT_TRUE(SearchBodies(flat, Mask(kFrame, uchar{255}), bodies, {0.33, 0.1}).empty());
  const PhotoLevels tiny(Image(4, 4, 295.0F));
  EXPECT_TRUE(SearchBodies(tiny, Mask(4, 4, uchar{255}), bodies, {0.33, 0.1}).empty());
  // A scale beyond all reason takes no memory either.
  EXPECT_NO_THROW((void)SearchBodies(flat, Mask(kFrame, uchar{255}), bodies, {400, 0.1}));
}

TEST(FitBodies, BringsAMapThatIsOffToItsPlace) {
  const auto bodies = Bodies();
  const PhotoLevels picture(Thermal(bodies));
  const PlaneMap off{kTruth.matrix * cv::Matx33d(1.006, -0.004, 0.4, 0.004, 1.006, -0.5, 0, 0, 1)};
  const double before_mm = ErrorMm(off, bodies);
  ASSERT_GT(before_mm, 0.35);
  const FittedBodies fitted = FitBodies(picture, off, bodies, kBodySearchOffMm);
  EXPECT_LT(ErrorMm(fitted.picture_from_board, bodies), 0.4 * before_mm);
  EXPECT_GT(fitted.error_mm, 0.01);
  EXPECT_LT(fitted.error_mm, 0.5);
}

}  // namespace
}  // namespace ohmglow
