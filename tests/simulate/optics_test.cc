// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "simulate/optics.h"

#include <gtest/gtest.h>

#include <cmath>

#include "simulate/surface.h"

namespace ohmglow::simulate {
namespace {

constexpr double kBoardMm = 40;

View Straight() {
  View view;
  view.size_px = {60, 40};
  view.center_mm = {20, 20};
  view.mm_per_pixel = 0.5;
  return view;
}

// A scene of a given function of board millimetres.
template <typename Function>
Image Scene(const Function& value) {
  const int n = static_cast<int>((kBoardMm + 2 * kMarginMm) / kFineMm);
  Image scene(n, n);
  for (int y = 0; y < n; ++y) {
    for (int x = 0; x < n; ++x) {
      scene(y, x) = static_cast<float>(
          value((x + 0.5) * kFineMm - kMarginMm, (y + 0.5) * kFineMm - kMarginMm));
    }
  }
  return scene;
}

PlaneMap Shifted(PlaneMap map, double dx, double dy) {
  map.matrix = cv::Matx33d(1, 0, dx, 0, 1, dy, 0, 0, 1) * map.matrix;
  return map;
}

double Spot(double x, double y) {
  return std::exp(-0.5 * ((x - 21) * (x - 21) + (y - 19) * (y - 19)));
}

// Centre of mass and mean squared width along x.
struct Moments {
  double sum = 0, x = 0, y = 0, xx = 0;
};
Moments MomentsOf(const Image& frame) {
  Moments m;
  for (int y = 0; y < frame.rows; ++y) {
    for (int x = 0; x < frame.cols; ++x) {
      m.sum += frame(y, x);
      m.x += x * static_cast<double>(frame(y, x));
      m.y += y * static_cast<double>(frame(y, x));
      m.xx += x * x * static_cast<double>(frame(y, x));
    }
  }
  m.x /= m.sum;
  m.y /= m.sum;
  m.xx = m.xx / m.sum - m.x * m.x;
  return m;
}

TEST(FrameFromBoard, PutsTheCentreInTheMiddleAtItsScale) {
  View view = Straight();
  view.tilt_deg = 8;
  view.tilt_direction_deg = 30;
  const PlaneMap map = FrameFromBoard(view);
  const Point middle = map.Apply(view.center_mm);
  EXPECT_NEAR(middle.x, 29.5, 1e-9);
  EXPECT_NEAR(middle.y, 19.5, 1e-9);
  // A tilt foreshortens one direction only, by its cosine.
  EXPECT_NEAR(
      std::abs(cv::determinant(map.Jacobian(view.center_mm))), 4 * std::cos(8 * CV_PI / 180), 1e-9);
  view.mirrored = true;
  EXPECT_LT(cv::determinant(FrameFromBoard(view).Jacobian(view.center_mm)), 0);
}

TEST(Optics, ShowsALinearSceneUnchanged) {
  const Optics optics({60, 40}, 0.8);
  Image frame;
  optics.Draw(Scene([](double x, double y) { return 0.3 * x - 0.2 * y; }),
              FrameFromBoard(Straight()),
              frame);
  for (const cv::Point p : {cv::Point(0, 0), cv::Point(31, 17), cv::Point(59, 39)}) {
    const Point mm = FrameFromBoard(Straight()).Inverse().Apply(p);
    EXPECT_NEAR(frame(p), 0.3 * mm.x - 0.2 * mm.y, 1e-4);
  }
}

TEST(Optics, MovesTheSpotByTheShiftWhateverItsFraction) {
  const Optics optics({60, 40}, 0.7);
  const Image scene = Scene(Spot);
  const PlaneMap map = FrameFromBoard(Straight());
  Image frame;
  optics.Draw(scene, map, frame);
  const Moments still = MomentsOf(frame);
  EXPECT_NEAR(still.x, map.Apply({21, 19}).x, 2e-3);
  for (const double shift : {0.13, 0.5, 1.77, 3.0}) {
    optics.Draw(scene, Shifted(map, shift, -0.4 * shift), frame);
    const Moments moved = MomentsOf(frame);
    EXPECT_NEAR(moved.x - still.x, shift, 2e-3);
    EXPECT_NEAR(moved.y - still.y, -0.4 * shift, 2e-3);
    EXPECT_NEAR(moved.sum, still.sum, 1e-3 * still.sum);
  }
}

// Variances add: the spot's own, the blur's, the pixel's 1/12 (as three samples:
// (9 - 1)/108) and that of the bilinear scene, 1/6 of a fine cell squared.
TEST(Optics, BlursByItsSigma) {
  const double blur = 0.8;
  Image frame;
  Optics({60, 40}, blur).Draw(Scene(Spot), FrameFromBoard(Straight()), frame);
  const double fine = kFineMm / 0.5;
  EXPECT_NEAR(MomentsOf(frame).xx, 4 + blur * blur + 8.0 / 108 + fine * fine / 6, 0.02);
}

}  // namespace
}  // namespace ohmglow::simulate
