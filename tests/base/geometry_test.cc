// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/base/geometry.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

namespace ohmglow {
namespace {

const cv::Size kFrame(97, 73);  // Centre (48, 36).

void ExpectNear(Point a, Point b, double tolerance) {
  EXPECT_NEAR(a.x, b.x, tolerance);
  EXPECT_NEAR(a.y, b.y, tolerance);
}

TEST(Similarity, TurnsFromXTowardsYAboutTheFramesCentre) {
  const Similarity quarter{0, 0, 90, 1};
  ExpectNear(quarter.Apply({48, 36}, kFrame), {48, 36}, 1e-12);
  ExpectNear(quarter.Apply({58, 36}, kFrame), {48, 46}, 1e-12);
  const Similarity all{3, -2, 90, 2};  // Scale and turn first, then the shift.
  ExpectNear(all.Apply({58, 36}, kFrame), {51, 54}, 1e-12);
}

// An even size has its centre between pixels: the usual source of a half-pixel error.
TEST(Similarity, HasItsCentreBetweenPixelsWhereTheSizeIsEven) {
  const Similarity half_turn{0, 0, 180, 1};
  ExpectNear(half_turn.Apply({0, 0}, {4, 2}), {3, 1}, 1e-12);
}

TEST(Similarity, MatrixAgreesWithApply) {
  const Similarity s{1.5, -0.7, 11, 1.02};
  const cv::Matx23d m = s.Matrix(kFrame);
  const Point p(17, 60);
  const Point by_hand(m(0, 0) * p.x + m(0, 1) * p.y + m(0, 2),
                      m(1, 0) * p.x + m(1, 1) * p.y + m(1, 2));
  const double c = 1.02 * std::cos(11 * std::numbers::pi / 180);
  const double d = 1.02 * std::sin(11 * std::numbers::pi / 180);
  const Point r = p - Point(48, 36);
  const Point defined(48 + c * r.x - d * r.y + 1.5, 36 + d * r.x + c * r.y - 0.7);
  ExpectNear(by_hand, defined, 1e-12);
  ExpectNear(s.Apply(p, kFrame), defined, 1e-12);
}

TEST(Similarity, InverseUndoesItFromBothSides) {
  const Similarity s{4.2, -1.1, -23, 0.9};
  const Point p(5, 70);
  ExpectNear(s.Inverse().Apply(s.Apply(p, kFrame), kFrame), p, 1e-11);
  ExpectNear(s.Apply(s.Inverse().Apply(p, kFrame), kFrame), p, 1e-11);
}

TEST(Similarity, AfterAppliesItsArgumentFirst) {
  const Similarity a{4.2, -1.1, -23, 0.9};
  const Similarity b{-2, 0.3, 41, 1.2};
  const Point p(5, 70);
  const Point expected = a.Apply(b.Apply(p, kFrame), kFrame);
  ExpectNear(a.After(b).Apply(p, kFrame), expected, 1e-11);
  // The order matters, or this test could not fail.
  EXPECT_GT(cv::norm(b.After(a).Apply(p, kFrame) - expected), 0.5);
}

// Umeyama, IEEE Trans. PAMI 13 (1991) 376-380, example: (0,0), (1,0), (0,2) to
// (0,0), (-1,0), (0,2); scale 0.721, shift (-0.800, 0.400), cosine 0.832
// (numbers from memory, recomputed), mean square 0.5333 (recomputed).
TEST(Similarity, ReachesUmeyamasLeastSquares) {
  const std::array<Point, 3> from = {Point(0, 0), Point(1, 0), Point(0, 2)};
  const std::array<Point, 3> to = {Point(0, 0), Point(-1, 0), Point(0, 2)};
  const auto mean_square = [&](const Similarity& s) {
    double sum = 0;
    for (std::size_t i = 0; i < from.size(); ++i) {
      const Point d = s.Apply(from[i], {1, 1}) - to[i];  // Centre at the origin.
      sum += d.dot(d) / 3;
    }
    return sum;
  };
  const Similarity best{-0.8, 0.4, -std::acos(0.832) * 180 / std::numbers::pi, 0.721};
  EXPECT_NEAR(mean_square(best), 0.5333, 1e-4);
  for (const double sign : {-0.05, 0.05}) {
    const std::array<Similarity, 4> others = {
        Similarity{best.dx_px + sign, best.dy_px, best.rotation_deg, best.scale},
        Similarity{best.dx_px, best.dy_px + sign, best.rotation_deg, best.scale},
        Similarity{best.dx_px, best.dy_px, best.rotation_deg + 40 * sign, best.scale},
        Similarity{best.dx_px, best.dy_px, best.rotation_deg, best.scale + sign}};
    for (const Similarity& other : others) EXPECT_GT(mean_square(other), mean_square(best) + 1e-4);
  }
}

const PlaneMap kTilted{{1.1, 0.2, -7, -0.15, 0.95, 12, 4e-4, -3e-4, 1}};

TEST(PlaneMap, InverseBringsEveryPointBack) {
  for (const Point p : {Point(0, 0), Point(250, 10), Point(40, 190)}) {
    ExpectNear(kTilted.Inverse().Apply(kTilted.Apply(p)), p, 1e-9);
  }
  EXPECT_NEAR(kTilted.Inverse().matrix(2, 2), 1, 1e-15);
}

TEST(PlaneMap, JacobianIsTheDerivative) {
  const Point p(120, 80);
  const double h = 1e-4;
  const Point dx = (kTilted.Apply(p + Point(h, 0)) - kTilted.Apply(p - Point(h, 0))) / (2 * h);
  const Point dy = (kTilted.Apply(p + Point(0, h)) - kTilted.Apply(p - Point(0, h))) / (2 * h);
  const cv::Matx22d j = kTilted.Jacobian(p);
  EXPECT_NEAR(j(0, 0), dx.x, 1e-8);
  EXPECT_NEAR(j(1, 0), dx.y, 1e-8);
  EXPECT_NEAR(j(0, 1), dy.x, 1e-8);
  EXPECT_NEAR(j(1, 1), dy.y, 1e-8);
}

TEST(PlaneMap, OfAnAffineMatrixHasOneJacobianEverywhere) {
  const PlaneMap affine{{0.4, 0.1, 3, -0.2, 0.5, 1, 0, 0, 1}};
  EXPECT_EQ(affine.Jacobian({0, 0}), affine.Jacobian({300, 200}));
  EXPECT_EQ(affine.Jacobian({1, 2})(0, 1), 0.1);
}

TEST(BestSimilarity, ReturnsASimilarityItself) {
  const cv::Size size(160, 120);
  const Similarity s{3.5, -2.25, 1.7, 1.02};
  const Similarity best = BestSimilarity(ToPlaneMap(s, size), size);
  EXPECT_NEAR(best.dx_px, s.dx_px, 1e-9);
  EXPECT_NEAR(best.dy_px, s.dy_px, 1e-9);
  EXPECT_NEAR(best.rotation_deg, s.rotation_deg, 1e-9);
  EXPECT_NEAR(best.scale, s.scale, 1e-12);
}

// Any other similarity puts the frame's pixels farther from where the map does.
TEST(BestSimilarity, IsTheNearestToAProjectiveMap) {
  const cv::Size size(160, 120);
  const auto mean_square = [&](const Similarity& s) {
    double sum = 0;
    for (int y = 0; y < size.height; ++y) {
      for (int x = 0; x < size.width; ++x) {
        const Point d = s.Apply(Point(x, y), size) - kTilted.Apply(Point(x, y));
        sum += d.dot(d);
      }
    }
    return sum / size.area();
  };
  const Similarity best = BestSimilarity(kTilted, size);
  for (const double sign : {-1.0, 1.0}) {
    for (const Similarity& other :
         {Similarity{best.dx_px + sign, best.dy_px, best.rotation_deg, best.scale},
          Similarity{best.dx_px, best.dy_px + sign, best.rotation_deg, best.scale},
          Similarity{best.dx_px, best.dy_px, best.rotation_deg + sign, best.scale},
          Similarity{best.dx_px, best.dy_px, best.rotation_deg, best.scale + 0.02 * sign}}) {
      EXPECT_GT(mean_square(other), mean_square(best) + 0.5);
    }
  }
}

}  // namespace
}  // namespace ohmglow
