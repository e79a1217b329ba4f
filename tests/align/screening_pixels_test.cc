// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <limits>
#include <string>

#include "align/screening_capture.h"

namespace ohmglow {
namespace {

using internal::Screening;
using testing::Capture;

constexpr float kNaN = std::numeric_limits<float>::quiet_NaN();
// At most 0.02 % of the good pixels of 160 x 120 may be lost.
constexpr int kMayBeLost = 3;

int Bad(const Screening& s) { return cv::countNonZero(s.good_pixels == 0); }

PixelFault FaultAt(const Screening& s, int r, int c) {
  return static_cast<PixelFault>(s.report.pixel_faults(r, c));
}

// A part of the scene whose warmth is a spot of this width, blur included.
void AddSpot(Image& frame, double x, double y, double width_px, double height_k) {
  const int x0 = static_cast<int>(x), y0 = static_cast<int>(y);
  for (int r = y0 - 6; r <= y0 + 7; ++r) {
    for (int c = x0 - 6; c <= x0 + 7; ++c) {
      const double q = ((c - x) * (c - x) + (r - y) * (r - y)) / (width_px * width_px);
      frame(r, c) += static_cast<float>(height_k * std::exp(-0.5 * q));
    }
  }
}

TEST(ScreeningPixelsTest, EachKindByItsName) {
  for (unsigned seed = 1; seed <= 3; ++seed) {
    Capture capture(150, 1.0, seed);
    capture.Expose();
    for (std::size_t n = 0; n < 150; ++n) {
      Image& f = capture.frames_k[n];
      f(20, 30) = kNaN;
      f(0, 0) = kNaN;
      f(50, 60) = 312;
      f(50, 61) = 300;  // Two side by side, one of them as warm as the scene.
      f(70, 80) += n % 4 == 0 ? 2.0F : 0.0F;
      f(90, 100) += 0.8F * static_cast<float>(n) / 150;
      f(119, 40) -= 1.5F * static_cast<float>(n) / 150;  // At the rim.
      f(10, 140) += 3.0F;
    }
    const Screening s = capture.Screen();
    EXPECT_EQ(FaultAt(s, 20, 30), PixelFault::kDead);
    EXPECT_EQ(FaultAt(s, 0, 0), PixelFault::kDead);
    EXPECT_EQ(FaultAt(s, 50, 60), PixelFault::kStuck);
    EXPECT_EQ(FaultAt(s, 50, 61), PixelFault::kStuck);
    EXPECT_EQ(FaultAt(s, 70, 80), PixelFault::kBlinking);
    EXPECT_EQ(FaultAt(s, 90, 100), PixelFault::kDrifting);
    EXPECT_EQ(FaultAt(s, 119, 40), PixelFault::kDrifting);
    EXPECT_EQ(FaultAt(s, 10, 140), PixelFault::kStandsOut);
    EXPECT_LE(Bad(s), 8 + kMayBeLost) << seed;
    EXPECT_EQ(s.report.CountPixels(PixelFault::kDead), 2);
  }
}

TEST(ScreeningPixelsTest, SwayingTextureIsNoFault) {
  for (const double sway_px : {0.0, 0.3, 1.0, 3.0, 8.0}) {
    for (unsigned seed = 1; seed <= 2; ++seed) {
      Capture capture(120, sway_px, seed);
      capture.Expose();
      EXPECT_LE(Bad(capture.Screen()), kMayBeLost) << sway_px << ' ' << seed;
    }
  }
}

// The smallest part that optics show: a point with a blur of 0.55 px over
// pixels whose own width adds 0.29 px (the square root of a twelfth).
TEST(ScreeningPixelsTest, WarmingPartIsNoFault) {
  const double width_px = std::hypot(0.55, 0.29);
  for (const double height_k : {0.2, 1.0, 5.0}) {
    for (const double off : {0.0, 0.3}) {
      Capture capture(120, 0.0, 2);
      for (std::size_t n = 30; n < 120; ++n) {
        const double rise = 1 - std::exp(-static_cast<double>(n - 30) / 25);
        AddSpot(capture.frames_k[n], 80 + off, 60, width_px, height_k * rise);
      }
      capture.Expose();
      const Screening s = capture.Screen();
      for (int r = 57; r <= 63; ++r) {
        for (int c = 77; c <= 84; ++c) {
          EXPECT_EQ(FaultAt(s, r, c), PixelFault::kNone)
              << r << " " << c << " " << height_k << " " << off;
        }
      }
    }
  }
}

TEST(ScreeningPixelsTest, BlinkingLightIsNoFault) {
  const double width_px = std::hypot(0.55, 0.29);
  for (const double off : {0.0, 0.5}) {
    Capture capture(120, 0.5, 3);
    for (std::size_t n = 0; n < 120; ++n) {
      if (n % 8 < 4) AddSpot(capture.frames_k[n], 80 + off, 60, width_px, 2.0);
    }
    capture.Expose();
    const Screening s = capture.Screen();
    EXPECT_EQ(FaultAt(s, 60, 80), PixelFault::kNone) << off;
    EXPECT_EQ(FaultAt(s, 60, 81), PixelFault::kNone) << off;
    EXPECT_LE(Bad(s), kMayBeLost) << off;
  }
}

TEST(ScreeningPixelsTest, SaturatedRegionIsNotDead) {
  Capture capture(60);
  capture.Expose();
  for (Image& f : capture.frames_k) f(cv::Rect(40, 30, 6, 5)) = kNaN;
  for (std::size_t n = 30; n < 60; ++n) capture.frames_k[n](cv::Rect(90, 60, 3, 3)) = kNaN;
  const Screening s = capture.Screen();
  EXPECT_EQ(s.report.CountPixels(PixelFault::kSaturated), 30);
  EXPECT_EQ(s.report.CountPixels(PixelFault::kDead), 0);
  EXPECT_EQ(s.report.saturated_for_a_while, 9);
  EXPECT_EQ(FaultAt(s, 61, 91), PixelFault::kNone);  // It is a good pixel on a hot part.
}

TEST(ScreeningPixelsTest, CoarseCountsMakeNoStuckPixels) {
  for (const int count : {10, 27, 120}) {
    Capture capture(count, 0.0);
    capture.Expose(0.03, 0.1);
    EXPECT_LE(Bad(capture.Screen()), kMayBeLost) << count;
  }
}

TEST(ScreeningPixelsTest, FewFramesLoseNoGoodPixels) {
  for (const int count : {2, 5, 10, 16, 27}) {
    Capture capture(count);
    capture.Expose();
    EXPECT_LE(Bad(capture.Screen()), kMayBeLost) << count;
  }
}

}  // namespace
}  // namespace ohmglow
