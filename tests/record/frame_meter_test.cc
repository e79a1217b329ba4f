// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/frame_meter.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "ohmglow/base/error.h"

namespace ohmglow::record {
namespace {

constexpr float kRoom = 296;

Image Room() { return Image(30, 40, kRoom); }

FrameMeter Rested() {
  FrameMeter meter;
  for (int n = 0; n < 10; ++n) meter.Rest(Room());
  return meter;
}

TEST(FrameMeter, FindsAWarmPlaceAndItsRise) {
  Image warm = Room();
  warm(cv::Rect(20, 10, 3, 3)) += 7;
  const FrameHeat heat = Rested().Measure(warm);
  EXPECT_NEAR(heat.hottest_k, kRoom + 7, 1e-3);
  EXPECT_NEAR(heat.rise_k, 7, 1e-3);
  EXPECT_NEAR(heat.rise_px.x, 21, 1.5);
  EXPECT_NEAR(heat.rise_px.y, 11, 1.5);
}

TEST(FrameMeter, PassesOverDeadPixelsAndColumns) {
  Image dead = Room();
  dead(5, 5) = 1000;
  for (int y = 0; y < dead.rows; ++y) dead(y, 20) = 900;
  dead(12, 30) = std::numeric_limits<float>::quiet_NaN();
  const FrameHeat heat = Rested().Measure(dead);
  EXPECT_NEAR(heat.hottest_k, kRoom, 1e-3);
  EXPECT_NEAR(heat.rise_k, 0, 1e-3);
}

TEST(FrameMeter, WhatLeavesTheRangeIsHot) {
  Image beyond = Room();
  beyond(cv::Rect(8, 8, 2, 2)) = std::numeric_limits<float>::quiet_NaN();
  const FrameHeat heat = Rested().Measure(beyond);
  EXPECT_TRUE(std::isinf(heat.hottest_k));
  EXPECT_TRUE(std::isinf(heat.rise_k));
}

TEST(FrameMeter, PlacesWithoutAValueAtRestStayWithout) {
  Image blind = Room();
  blind(cv::Rect(8, 8, 3, 3)) = std::numeric_limits<float>::quiet_NaN();
  FrameMeter meter;
  for (int n = 0; n < 10; ++n) meter.Rest(blind);
  EXPECT_NEAR(meter.Measure(blind).hottest_k, kRoom, 1e-3);
}

TEST(FrameMeter, HeatShowsAboveWhatTheRestShowsByItself) {
  std::mt19937 random(3);
  std::normal_distribution<float> noise(0, 0.1F);
  const auto noisy = [&](float rise) {
    Image frame = Room();
    for (float& value : frame) value += noise(random);
    frame(cv::Rect(20, 10, 5, 5)) += rise;
    return frame;
  };
  FrameMeter meter;
  for (int n = 0; n < 40; ++n) meter.Rest(noisy(0));
  for (int n = 0; n < 20; ++n) EXPECT_LT(meter.Measure(noisy(0)).shown_k, 0.1);
  EXPECT_NEAR(meter.Measure(noisy(3)).shown_k, 2.9, 0.4);
}

TEST(FrameMeter, ACommonDriftShowsNothing) {
  EXPECT_NEAR(Rested().Measure(Image(30, 40, kRoom + 2)).shown_k, 0, 1e-3);
}

TEST(FrameMeter, HasNoRiseBeforeTheRest) {
  FrameMeter meter;
  const FrameHeat heat = meter.Measure(Room());
  EXPECT_NEAR(heat.hottest_k, kRoom, 1e-3);
  EXPECT_EQ(heat.rise_k, 0);
}

constexpr float kNaN = std::numeric_limits<float>::quiet_NaN();

// A shutter in the rest, and a pixel that has no value now and then: both guards still see.
TEST(FrameMeter, OneBadFrameOfTheRestBlindsNothing) {
  FrameMeter meter;
  for (int n = 0; n < 10; ++n) {
    if (n == 3) {
      EXPECT_FALSE(meter.Rest(Image(30, 40, kNaN)));
    }
    Image frame = Room();
    if (n == 5) frame(cv::Rect(18, 8, 8, 8)) = kNaN;
    EXPECT_TRUE(meter.Rest(frame));
  }
  EXPECT_EQ(meter.num_rest(), 10);
  EXPECT_EQ(meter.blind_share(), 0);
  Image warm = Room();
  warm(cv::Rect(20, 10, 3, 3)) += 7;
  EXPECT_NEAR(meter.Measure(warm).rise_k, 7, 1e-3);
  warm(cv::Rect(20, 10, 3, 3)) = kNaN;
  EXPECT_TRUE(std::isinf(meter.Measure(warm).hottest_k));
  EXPECT_TRUE(std::isinf(meter.Measure(warm).rise_k));
}

TEST(FrameMeter, TheMeanOfTheRestIsOfFiniteValuesAlone) {
  FrameMeter meter;
  for (int n = 0; n < 8; ++n) {
    Image frame(30, 40, kRoom + static_cast<float>(n % 2));
    if (n % 2 == 1) frame(cv::Rect(20, 10, 4, 4)) = kNaN;
    meter.Rest(frame);
  }
  const FrameHeat heat = meter.Measure(Image(30, 40, kRoom + 3));
  EXPECT_NEAR(heat.rise_k, 3, 1e-3) << "where it had only the colder ones; elsewhere 2.5";
  EXPECT_NEAR(heat.rise_px.x, 21.5, 2);
}

TEST(FrameMeter, TellsHowManyPixelsHadNoValue) {
  FrameMeter meter;
  EXPECT_EQ(meter.blind_share(), 1);
  Image blind = Room();
  blind(cv::Rect(0, 0, 40, 3)) = kNaN;
  for (int n = 0; n < 5; ++n) meter.Rest(blind);
  EXPECT_NEAR(meter.blind_share(), 0.1, 1e-9);
}

TEST(FrameMeter, RefusesFramesOfAnotherSize) {
  FrameMeter meter = Rested();
  EXPECT_THROW(meter.Rest(Image(20, 40, kRoom)), InputError);
  EXPECT_THROW((void)meter.Measure(Image(60, 40, kRoom)), InputError);
}

}  // namespace
}  // namespace ohmglow::record
