// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "simulate/sensor.h"

#include <gtest/gtest.h>

#include <cmath>

#include "simulate/description.h"

namespace ohmglow::simulate {
namespace {

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

std::vector<Counts> ReadAll(const Scenario& s, int frames) {
  Sensor sensor(s, frames);
  const Image scene(48, 64, 296.0F);
  std::vector<Counts> all;
  for (int n = 0; n < frames; ++n) {
    Counts counts;
    sensor.Read(n, scene, counts);
    all.push_back(counts);
  }
  return all;
}

// Temporal spread of every pixel, in kelvin.
double Spread(const std::vector<Counts>& all, double scale_k) {
  double sum = 0;
  for (std::size_t n = 1; n < all.size(); ++n) {
    for (int i = 0; i < 64 * 48; ++i) {
      const double d = static_cast<double>(all[n](i / 64, i % 64)) - all[n - 1](i / 64, i % 64);
      sum += 0.5 * d * d;
    }
  }
  return scale_k * std::sqrt(sum / (static_cast<double>(all.size() - 1) * 64 * 48));
}

// White noise of the given size plus rounding to counts, variance 1/12; the
// standard error of the spread over 29 differences of 3072 pixels is 0.3 %.
TEST(Sensor, HasTheNoiseItIsGiven) {
  const double expected = std::sqrt(0.05 * 0.05 + 0.01 * 0.01 / 12);
  EXPECT_NEAR(Spread(ReadAll(Quiet(), 30), 0.01), expected, 0.015 * expected);
}

TEST(Sensor, AddsColumnNoise) {
  Scenario s = Quiet();
  s.netd_k = 0;
  s.column_k = 0.1;
  const auto all = ReadAll(s, 40);
  EXPECT_NEAR(Spread(all, 0.01), 0.1, 0.1 * 5 / std::sqrt(2.0 * 39 * 64));
  for (int y = 1; y < 48; ++y) {
    const int first = all[5](0, 7) - all[4](0, 7);
    EXPECT_NEAR(all[5](y, 7) - all[4](y, 7), first, 2);  // One value a column, but for rounding.
  }
}

TEST(Sensor, FreezesAndComesBackWithAnotherPattern) {
  Scenario s = Quiet();
  s.netd_k = 0;
  s.shutter_events = 1;
  const Sensor plan(s, 40);
  ASSERT_EQ(plan.shutter_events().size(), 1U);
  const auto event = plan.shutter_events()[0];
  const auto all = ReadAll(s, 40);
  const auto equal = [&](int a, int b) {
    return cv::countNonZero(all[static_cast<std::size_t>(a)] != all[static_cast<std::size_t>(b)]) ==
           0;
  };
  for (int n = event.first; n < event.first + event.length; ++n) EXPECT_TRUE(equal(n, n - 1));
  EXPECT_FALSE(equal(event.first + event.length, event.first));
}

TEST(Sensor, SpoilsOnlyItsBadPixels) {
  Scenario s = Quiet();
  s.netd_k = 0;
  s.bad_pixels = 6;
  const Sensor plan(s, 10);
  const auto good = ReadAll(Quiet(), 1);
  ASSERT_GE(plan.bad_pixels().size(), 5U);
  const auto all = ReadAll(s, 10);
  for (const auto& pixel : plan.bad_pixels()) {
    if (pixel.kind == BadPixel::Kind::kDead) {
      EXPECT_EQ(all[3](pixel.at), 0);
    }
    if (pixel.kind == BadPixel::Kind::kStuck) {
      EXPECT_EQ(all[3](pixel.at), all[8](pixel.at));
    }
  }
  int low = 0;
  for (const auto value : all[3]) low += value == 0 ? 1 : 0;
  EXPECT_EQ(low, 2);
}

TEST(Sensor, GivesTheSameBytesForTheSameSeed) {
  Scenario s = Draw(DefaultDescription(), 3);
  s.width_px = 64;
  s.height_px = 48;
  const auto a = ReadAll(s, 5);
  const auto b = ReadAll(s, 5);
  s.seed = 4;
  const auto c = ReadAll(s, 5);
  EXPECT_EQ(cv::countNonZero(a[4] != b[4]), 0);
  EXPECT_GT(cv::countNonZero(a[4] != c[4]), 2000);
}

}  // namespace
}  // namespace ohmglow::simulate
