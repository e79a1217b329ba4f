// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/photo_fit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

#include "support/said.h"

namespace ohmglow {
namespace {

const cv::Size kPhoto(1000, 800);

// Board plane (mm) to a picture: a pinhole at `distance` mm, tilted.
cv::Matx33d Camera(double tilt_deg, double direction, double focal_px, double distance, Point at) {
  const double t = tilt_deg * CV_PI / 180;
  const double c = std::cos(direction);
  const double s = std::sin(direction);
  const cv::Matx33d turn(c, -s, 0, s, c, 0, 0, 0, 1);
  const cv::Matx33d tilt(std::cos(t), 0, 0, 0, 1, 0, std::sin(t), 0, distance);
  return cv::Matx33d(focal_px, 0, at.x, 0, focal_px, at.y, 0, 0, 1) * turn * tilt * turn.t();
}

// A photo from up to 25 degrees aside, a thermal camera from up to 8.
PlaneMap RandomView(std::mt19937& random) {
  std::uniform_real_distribution<double> share(0, 1);
  const cv::Matx33d photo = Camera(25 * share(random), 6.28 * share(random), 1072, 80, {500, 400});
  const cv::Matx33d frame = Camera(8 * share(random), 6.28 * share(random), 253, 100, {80, 60});
  return PlaneMap{photo * frame.inv()};
}

RadialLens Lens(double k1) { return {{499.5, 399.5}, std::hypot(499.5, 399.5), k1, 0}; }

// Places in a frame of 160 x 120, at least 30 pixels apart.
std::vector<Point> Places(int count, std::mt19937& random) {
  std::uniform_real_distribution<double> x(5, 155), y(5, 115);
  std::vector<Point> places;
  for (int tries = 0; static_cast<int>(places.size()) < count; ++tries) {
    if (tries % 500 == 499) places.clear();
    const Point p(x(random), y(random));
    bool near = false;
    for (const Point& q : places) near = near || cv::norm(p - q) < 30;
    if (!near) places.push_back(p);
  }
  return places;
}

std::vector<Landmark> Landmarks(const std::vector<Point>& places, const PlaneMap& view, double k1) {
  std::vector<Landmark> rows;
  for (const Point& p : places) rows.push_back({p, Lens(k1).Apply(view.Apply(p)), std::nullopt});
  return rows;
}

PointPairs PairsOf(const std::vector<Landmark>& rows) {
  PointPairs pairs;
  for (const Landmark& l : rows) pairs.push_back({l.frame_px, l.photo_px, pairs.size() + 1});
  return pairs;
}

TEST(RadialLens, FollowsBrownsFormula) {
  // Brown, Photogramm. Eng. 37 (1971): d (1 + k1 r^2 + k2 r^4); r = 1 and 1/2 by hand.
  const RadialLens lens{{10, 20}, 5, 0.1, 0.01};
  EXPECT_NEAR(cv::norm(lens.Apply({15, 20}) - Point(10 + 5 * 1.11, 20)), 0, 1e-12);
  EXPECT_NEAR(cv::norm(lens.Apply({10, 22.5}) - Point(10, 20 + 2.5 * 1.025625)), 0, 1e-12);
}

TEST(PointFit, RecoversAViewThroughALens) {
  std::mt19937 random(5);
  for (const double k1 : {-0.06, 0.04}) {
    const PlaneMap view = RandomView(random);
    const auto rows = Landmarks(Places(9, random), view, k1);
    const BoardMaps maps = FitBoardMaps(rows, kPhoto);
    ASSERT_TRUE(maps.photo_lens);
    EXPECT_NEAR(maps.photo_lens->k1, k1, 1e-6);
    EXPECT_TRUE(maps.remarks.empty());
    const Point elsewhere(70, 50);
    const Point truth = Lens(k1).Apply(view.Apply(elsewhere));
    EXPECT_NEAR(cv::norm(maps.PhotoPlace(elsewhere) - truth), 0, 1e-5);
  }
}

TEST(PointFit, FitsNoLensWithoutOneOrWithFewPoints) {
  std::mt19937 random(6);
  const PlaneMap view = RandomView(random);
  EXPECT_FALSE(FitBoardMaps(Landmarks(Places(7, random), view, -0.05), kPhoto).photo_lens);
  EXPECT_FALSE(FitBoardMaps(Landmarks(Places(9, random), view, -0.05)).photo_lens);
}

TEST(PointFit, KeepsTheCrossRatio) {
  // A projective map keeps the cross-ratio of four places on a line; here
  // (0, 1, 3, 7): 3 * 6 / (7 * 2) = 9 / 7. Hartley, Zisserman, Multiple View
  // Geometry, 2nd ed., section 2.5, from memory.
  std::mt19937 random(7);
  const PlaneMap view = RandomView(random);
  const BoardMaps maps = FitBoardMaps(Landmarks(Places(4, random), view, 0));
  Point q[4];
  const double at[] = {0, 1, 3, 7};
  for (int i = 0; i < 4; ++i) q[i] = maps.PhotoPlace(Point(40, 30) + at[i] * Point(9, 5));
  const double ratio = cv::norm(q[2] - q[0]) * cv::norm(q[3] - q[1]) /
                       (cv::norm(q[3] - q[0]) * cv::norm(q[2] - q[1]));
  EXPECT_NEAR(ratio, 9.0 / 7, 1e-9);
}

TEST(PointFit, MovesWithItsInput) {
  // Hartley, IEEE Trans. PAMI 19 (1997): normalised, the fit does not depend on
  // where the origin is and how large the unit.
  std::mt19937 random(8);
  std::normal_distribution<double> noise(0, 1);
  auto rows = Landmarks(Places(7, random), RandomView(random), 0);
  for (Landmark& l : rows) l.photo_px += Point(noise(random), noise(random));
  const Point place(66, 44);
  const Point before = FitBoardMaps(rows).PhotoPlace(place);
  const cv::Matx22d turn(0, -3, 3, 0);  // A quarter turn and three times the size.
  for (Landmark& l : rows) l.photo_px = Point(turn * l.photo_px) + Point(500, -70);
  const BoardMaps moved = FitBoardMaps(rows);
  EXPECT_NEAR(cv::norm(moved.PhotoPlace(place) - Point(turn * before) - Point(500, -70)), 0, 1e-6);
}

// The Cramer-Rao bound of a mapped place is J (sum J'J)^-1 J' sigma^2.
TEST(PointFit, IsAsGoodAsThePointsAllow) {
  std::mt19937 random(3);
  std::normal_distribution<double> noise(0, 1);
  for (const int count : {4, 5, 6, 8}) {
    for (const double sigma_px : {0.5, 2.5}) {  // Of the photo; 2.5 is half a frame pixel.
      double seen = 0;
      double bound = 0;
      constexpr int kTrials = 40;
      for (int trial = 0; trial < kTrials; ++trial) {
        const PlaneMap view = RandomView(random);
        auto rows = Landmarks(Places(count, random), view, 0);
        const PointFit ideal(PairsOf(rows), MapKind::kProjective, kPhoto);
        for (Landmark& l : rows) {
          l.photo_px += sigma_px * Point(noise(random), noise(random));
        }
        const BoardMaps maps = FitBoardMaps(rows, kPhoto);
        for (const Landmark& l : rows) {
          const Point off = maps.PhotoPlace(l.frame_px) - view.Apply(l.frame_px);
          seen += off.dot(off) / (count * kTrials);
          bound += sigma_px * sigma_px * cv::trace(ideal.Leverage(l.frame_px)) / (count * kTrials);
        }
      }
      EXPECT_LT(std::sqrt(seen), std::sqrt(bound) + 1.0) << count << " " << sigma_px;
      EXPECT_GT(std::sqrt(seen), 0.8 * std::sqrt(bound)) << count << " " << sigma_px;
    }
  }
}

TEST(PlaceError, ItsEllipseHoldsTheTruth) {
  // Chi-squared with two degrees of freedom is below 5.991 in 95 % (tables, e.g.
  // NIST/SEMATECH e-Handbook 1.3.6.7.4).
  std::mt19937 random(9);
  std::normal_distribution<double> noise(0, 1);
  const double sigma_px = 2.6;  // Half a frame pixel, which is what is assumed besides.
  int within = 0;
  constexpr int kTrials = 400;
  const PlaneMap view =
      PlaneMap{Camera(15, 1, 1072, 80, {500, 400}) * Camera(3, 2, 253, 100, {80, 60}).inv()};
  const auto places = Places(6, random);
  for (int trial = 0; trial < kTrials; ++trial) {
    auto rows = Landmarks(places, view, 0);
    for (Landmark& l : rows) l.photo_px += sigma_px * Point(noise(random), noise(random));
    const BoardMaps maps = FitBoardMaps(rows);
    const Point at(70, 55);
    const Point off = maps.PhotoPlace(at) - view.Apply(at);
    const cv::Vec2d e(off.x, off.y);
    within += e.dot(maps.photo_error.Covariance(at).inv() * e) < 5.991 ? 1 : 0;
  }
  EXPECT_GT(within, 0.90 * kTrials);
  EXPECT_LT(within, 0.995 * kTrials);
}

TEST(PlaceError, GrowsAwayFromTheLandmarks) {
  std::mt19937 random(10);
  const BoardMaps maps = FitBoardMaps(Landmarks(Places(6, random), RandomView(random), 0));
  ASSERT_TRUE(maps.photo_error.known());
  EXPECT_GT(maps.photo_error.Rms({400, 300}), 3 * maps.photo_error.Rms({80, 60}));
}

TEST(FitBoardMaps, BlamesNoLandmarkForTheLens) {
  std::mt19937 random(11);
  std::normal_distribution<double> noise(0, 1.5);
  int dropped = 0;
  int found = 0;
  for (int trial = 0; trial < 60; ++trial) {
    auto rows = Landmarks(Places(9, random), RandomView(random), -0.06);
    for (Landmark& l : rows) l.photo_px += Point(noise(random), noise(random));
    dropped += static_cast<int>(FitBoardMaps(rows, kPhoto).remarks.size());
    rows[4].photo_px += Point(60, -50);
    const BoardMaps maps = FitBoardMaps(rows, kPhoto);
    if (maps.remarks.empty()) continue;
    ++found;
    EXPECT_TRUE(testing::Says(maps.remarks[0], "row 6 ")) << maps.remarks[0];
  }
  EXPECT_LE(dropped, 4);
  // 78 pixels off is 30 to 50 standard errors, but less where a landmark stands alone.
  EXPECT_GE(found, 55);
}

}  // namespace
}  // namespace ohmglow
