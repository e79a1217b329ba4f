// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/line_fit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

namespace ohmglow {
namespace {

const cv::Size kSize(80, 64);
constexpr double kMmPerPixel = 0.4;
constexpr double kStepMm = 0.4;
constexpr int kNumRadii = 60;
constexpr double kNoiseK = 0.004;
const Point kAt(41, 30);

// Two modes: heat that stays narrow and heat that spreads, as wide as given. Written as
// plain functions, none of them the plate's.
Eigen::VectorXd RiseAt(double r_mm, double width_mm) {
  return Eigen::Vector2d(std::exp(-0.5 * std::pow(r_mm / width_mm, 2)),
                         0.5 * std::exp(-r_mm / (3 * width_mm)));
}

Eigen::MatrixXd Profile(double width_mm) {
  Eigen::MatrixXd profile(2, kNumRadii);
  for (int i = 0; i < kNumRadii; ++i) profile.col(i) = RiseAt(i * kStepMm, width_mm);
  return profile;
}

// A picture of heat along a straight piece, of 1 W in all, in noise.
Eigen::MatrixXf Picture(double length_mm, double angle_rad, double width_mm, double watts) {
  Eigen::MatrixXf modes(2, kSize.area());
  std::mt19937 random(5);
  std::normal_distribution<float> noise(0, static_cast<float>(kNoiseK));
  const int count = 61;
  const Point along(std::cos(angle_rad), std::sin(angle_rad));
  for (int y = 0; y < kSize.height; ++y) {
    for (int x = 0; x < kSize.width; ++x) {
      Eigen::Vector2d sum = Eigen::Vector2d::Zero();
      for (int i = 0; i < count; ++i) {
        const Point off =
            kMmPerPixel * (Point(x, y) - kAt) - length_mm * ((i + 0.5) / count - 0.5) * along;
        sum += RiseAt(std::hypot(off.x, off.y), width_mm) * (watts / count);
      }
      modes.col(y * kSize.width + x) =
          sum.cast<float>() + Eigen::Vector2f(noise(random), noise(random));
    }
  }
  return modes;
}

HeatLine Ask(const Eigen::MatrixXf& modes, double round_mm) {
  const Mask seen(kSize, static_cast<unsigned char>(255));
  return FitLine(modes,
                 seen,
                 {kAt,
                  kMmPerPixel,
                  12,
                  kNoiseK,
                  kStepMm,
                  Profile(round_mm),
                  {Profile(0.8), Profile(1.2), Profile(1.7)}});
}

TEST(LineFitTest, ReadsLengthDirectionAndPowerOfATrack) {
  for (const double degrees : {0.0, 37.0, 90.0, 150.0}) {
    const double angle = degrees * std::numbers::pi / 180;
    const HeatLine line = Ask(Picture(9, angle, 1.2, 0.8), 3);
    EXPECT_TRUE(IsLine(line)) << degrees;
    EXPECT_NEAR(line.length_mm, 9, 0.9) << degrees;
    EXPECT_NEAR(line.power_w, 0.8, 0.04) << degrees;
    EXPECT_LT(std::abs(std::sin(line.angle_rad - angle)), 0.12) << degrees;
    EXPECT_LT(cv::norm(line.middle_px - kAt) * kMmPerPixel, 0.4) << degrees;
  }
}

TEST(LineFitTest, TakesAChipAndABodyForNoLine) {
  EXPECT_FALSE(IsLine(Ask(Picture(0, 0, 1.2, 0.8), 1.2)));
  EXPECT_FALSE(IsLine(Ask(Picture(2, 0.5, 1.2, 0.8), 1.4)));
  // Wider than any point: a moulded body, round.
  EXPECT_FALSE(IsLine(Ask(Picture(0, 0, 3.5, 0.8), 3.5)));
}

TEST(LineFitTest, FaintHeatTellsNoLine) {
  EXPECT_FALSE(IsLine(Ask(Picture(9, 0.5, 1.2, 0.004), 3)));
}

TEST(LineFitTest, ItsPointsShareItsLength) {
  HeatLine line;
  line.length_mm = 8;
  line.angle_rad = std::numbers::pi / 2;
  line.middle_px = {20, 30};
  const std::vector<Point> points = PointsOf(line, 0.5);
  ASSERT_GT(points.size(), 10U);
  Point sum;
  for (const Point& point : points) {
    sum += point;
    EXPECT_NEAR(point.x, 20, 1e-9);
    EXPECT_LE(std::abs(point.y - 30), 8.0);
  }
  EXPECT_NEAR(sum.y / static_cast<double>(points.size()), 30, 1e-9);
}

// A coil or connector of 9 mm that is hot all along is as long as a track.
TEST(LineFitTest, KnowsALineThatOneBodyExplains) {
  HeatLine line;
  line.length_mm = 8;
  line.middle_px = {50, 50};
  const PlaneMap half_mm{cv::Matx33d(0.5, 0, 0, 0, 0.5, 0, 0, 0, 1)};
  const auto in_part = [&](const Part& part) {
    return InOnePart(line, 0.5, half_mm, {part}, BoardSide::kTop);
  };
  EXPECT_TRUE(in_part({"L1", {25, 25}, 9, 4, BoardSide::kTop, "coil"}));
  EXPECT_FALSE(in_part({"L1", {25, 25}, 4, 9, BoardSide::kTop, "coil"}));
  EXPECT_FALSE(in_part({"L1", {28, 25}, 9, 4, BoardSide::kTop, "coil"}));
  EXPECT_FALSE(in_part({"L1", {25, 25}, 9, 4, BoardSide::kBottom, "coil"}));
}

TEST(LineFitTest, DistanceIsToTheNearestPointOfTheLine) {
  HeatLine line;
  line.length_mm = 10;  // 20 px
  line.middle_px = {50, 50};
  EXPECT_NEAR(FromLinePx(line, 0.5, {45, 53}), 3, 1e-9);
  EXPECT_NEAR(FromLinePx(line, 0.5, {63, 54}), 5, 1e-9);
}

}  // namespace
}  // namespace ohmglow
