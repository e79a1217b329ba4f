// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "simulate/capture.h"
#include "simulate/description.h"
#include "simulate/object.h"

namespace ohmglow::simulate {
namespace {

constexpr int kFrames = 120;

Scenario Quiet() {
  Scenario s = Draw(DefaultDescription(), 3);
  s.width_px = 64;
  s.height_px = 48;
  s.netd_k = 0.05;
  s.scale_k = 0.01;
  s.column_k = s.fixed_k = s.slow_k = s.drift_k = 0;
  s.bad_pixels = 0;
  s.shutter_events = 0;
  return s;
}

std::vector<Counts> ReadAll(Sensor& sensor) {
  const Image scene(48, 64, 296.0F);
  std::vector<Counts> all;
  for (int n = 0; n < kFrames; ++n) {
    Counts counts;
    sensor.Read(n, scene, counts);
    all.push_back(counts.clone());
  }
  return all;
}

bool Same(const Counts& a, const Counts& b) { return cv::norm(a, b, cv::NORM_INF) == 0; }

TEST(FaultsTest, DoubledFramesRepeatAndNoOthersDo) {
  Scenario s = Quiet();
  s.doubled_frames = 5;
  Sensor sensor(s, kFrames);
  ASSERT_EQ(sensor.doubled().size(), 5U);
  const std::vector<Counts> all = ReadAll(sensor);
  int same = 0;
  for (std::size_t n = 1; n < all.size(); ++n) same += Same(all[n], all[n - 1]) ? 1 : 0;
  EXPECT_EQ(same, 5);
  for (const int n : sensor.doubled()) {
    const auto i = static_cast<std::size_t>(n);
    EXPECT_TRUE(Same(all[i], all[i - 1]));
  }
}

TEST(FaultsTest, AJumpChangesThePatternFromItsFrameOn) {
  Scenario s = Quiet();
  s.netd_k = 0;
  s.jump_events = 1;
  Sensor sensor(s, kFrames);
  ASSERT_EQ(sensor.jumps().size(), 1U);
  const std::vector<Counts> all = ReadAll(sensor);
  const auto at = static_cast<std::size_t>(sensor.jumps()[0]);
  EXPECT_TRUE(Same(all[at - 1], all[0]));
  EXPECT_FALSE(Same(all[at], all[at - 1]));
  EXPECT_TRUE(Same(all.back(), all[at]));
}

TEST(FaultsTest, ADriftingPixelEndsWhereItWasSaidTo) {
  Scenario s = Quiet();
  s.netd_k = 0;
  s.drifting_pixels = 10;
  s.pixel_drift_k = 1.5;
  Sensor sensor(s, kFrames);
  const std::vector<Counts> all = ReadAll(sensor);
  ASSERT_GE(sensor.bad_pixels().size(), 8U);  // Two may have met the same place.
  for (const BadPixel& p : sensor.bad_pixels()) {
    EXPECT_EQ(p.kind, BadPixel::Kind::kDrifting);
    const double moved = 0.01 * (static_cast<double>(all.back()(p.at)) - all.front()(p.at));
    EXPECT_NEAR(std::abs(moved), 1.5, 0.011);
  }
}

TEST(FaultsTest, RowNoiseIsAsLargeAsSaid) {
  Scenario s = Quiet();
  s.netd_k = 0;
  s.row_k = 0.1;
  Sensor sensor(s, kFrames);
  const std::vector<Counts> all = ReadAll(sensor);
  double square = 0;
  for (std::size_t n = 1; n < all.size(); ++n) {
    for (int r = 0; r < 48; ++r) {
      const int first = all[n](r, 0) - all[n - 1](r, 0);
      const int last = all[n](r, 63) - all[n - 1](r, 63);
      EXPECT_LE(std::abs(first - last), 1);  // Counts are rounded.
      square += 0.01 * first * 0.01 * first;
    }
  }
  // A difference of two has twice the variance; standard error about 0.002.
  EXPECT_NEAR(std::sqrt(square / (119 * 48) / 2), 0.1, 0.006);
}

TEST(FaultsTest, LostFramesLeaveGaps) {
  Scenario s = Quiet();
  s.jitter = 0;
  s.time_fault = 0;
  const std::vector<double> whole = MakeSetting(s).times_s;
  s.lost_frames = 4;
  const std::vector<double> times = MakeSetting(s).times_s;
  EXPECT_EQ(times.size() + 4, whole.size());
  EXPECT_EQ(times.back(), whole.back());
  EXPECT_EQ(FaultyTime(s, times.size()), 0U);
  s.time_fault = 2;
  EXPECT_GE(FaultyTime(s, times.size()), 2U);
}

TEST(FaultsTest, AnObjectComesFromTheRimAndGoes) {
  Scenario s = Quiet();
  s.object_k = 8;
  s.object_begin_s = 5;
  s.object_hold_s = 2;
  s.object_share = 0.3;
  const Image empty(48, 64, 290.0F);
  double most = 0;
  for (double t = 4; t < 8; t += 0.125) {
    Image frame = empty.clone();
    const double share = HoldObject(s, t, frame);
    const double changed = cv::norm(frame, empty, cv::NORM_INF);
    EXPECT_EQ(share > 0.001, changed > 0.01) << t;
    if (t <= 5 || t >= 7) {
      EXPECT_EQ(changed, 0) << t;
    }
    if (share > most) {
      most = share;
      double high = 0;
      cv::minMaxLoc(frame, nullptr, &high);
      EXPECT_NEAR(high, 273.15 + s.ambient_c + 8, 0.5);
    }
  }
  EXPECT_GT(most, 0.1);
  EXPECT_LT(most, 0.5);
}

}  // namespace
}  // namespace ohmglow::simulate
