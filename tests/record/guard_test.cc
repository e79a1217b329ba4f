// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/guard.h"

#include <gtest/gtest.h>

#include <limits>
#include <random>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow::record {
namespace {

constexpr Limits kLimits{5, 2, 15, 60, 90};
constexpr double kZeroCelsius = 273.15;

FrameHeat Warm(double celsius, double rise_k) {
  FrameHeat heat;
  heat.hottest_k = kZeroCelsius + celsius;
  heat.rise_k = rise_k;
  return heat;
}

TEST(Limits, MustBeGivenAndBelievable) {
  EXPECT_NO_THROW(kLimits.Validate());
  EXPECT_THROW(Limits().Validate(), OptionError);
  for (double Limits::*member : {&Limits::max_volts_v,
                                 &Limits::max_amps_a,
                                 &Limits::max_rise_k,
                                 &Limits::max_temperature_c,
                                 &Limits::max_seconds_s}) {
    for (const double wrong : {0.0, -1.0, 1e6, std::numeric_limits<double>::quiet_NaN()}) {
      Limits limits = kLimits;
      limits.*member = wrong;
      EXPECT_THROW(limits.Validate(), OptionError) << wrong;
    }
  }
}

TEST(CameraGuard, OneFrameBeyondALimitIsEnough) {
  CameraGuard guard(kLimits, 8, 0);
  guard.OnFrame(0.1, Warm(59.9, 14.9), false);
  EXPECT_FALSE(guard.Check(0.1));
  guard.OnFrame(0.2, Warm(60.1, 1), false);
  ASSERT_TRUE(guard.Check(0.2));
  EXPECT_EQ(guard.Check(0.2)->cause, Cause::kTemperature);
  guard.OnFrame(0.3, Warm(20, 0), false);
  EXPECT_TRUE(guard.Check(0.3)) << "stays, though it is cool again";
  CameraGuard other(kLimits, 8, 0);
  other.OnFrame(0.1, Warm(40, 15.1), false);
  EXPECT_EQ(other.Check(0.1)->cause, Cause::kRise);
}

TEST(CameraGuard, BeyondTheCamerasRangeIsTooHot) {
  CameraGuard guard(kLimits, 8, 0);
  guard.OnFrame(0.1, Warm(std::numeric_limits<double>::infinity(), 0), false);
  EXPECT_TRUE(guard.Check(0.1));
}

// Whatever the times of the frames: silence of half a second is told, and no less.
TEST(CameraGuard, TellsSilenceAtAnyRate) {
  std::mt19937 random(5);
  for (int trial = 0; trial < 300; ++trial) {
    const double rate_hz = std::uniform_real_distribution<>(1, 60)(random);
    CameraGuard guard(kLimits, rate_hz, 0);
    const double silent_s = std::max(0.5, 2.5 / rate_hz);
    double now_s = 0;
    for (int n = 0; n < 20; ++n) {
      now_s += std::uniform_real_distribution<>(0.001, silent_s - 0.001)(random);
      EXPECT_FALSE(guard.Check(now_s - 1e-6)) << rate_hz;
      guard.OnFrame(now_s, Warm(25, 0), false);
    }
    EXPECT_FALSE(guard.Check(now_s + silent_s - 0.001));
    ASSERT_TRUE(guard.Check(now_s + silent_s + 0.001));
    EXPECT_EQ(guard.Check(now_s + silent_s + 0.001)->cause, Cause::kCameraSilent);
  }
}

TEST(CameraGuard, AFrozenPictureIsBlindAShutterIsNot) {
  CameraGuard guard(kLimits, 8, 0);
  double now_s = 0;
  for (int n = 0; n < 40; ++n) {
    now_s += 0.125;
    guard.OnFrame(now_s, Warm(25, 0), n % 8 < 5);  // Five repeats, as a shutter makes.
    EXPECT_FALSE(guard.Check(now_s));
  }
  for (int n = 0; n < 13; ++n) guard.OnFrame(now_s += 0.125, Warm(25, 0), true);
  ASSERT_TRUE(guard.Check(now_s));
  EXPECT_EQ(guard.Check(now_s)->cause, Cause::kCameraFrozen);
}

TEST(CameraGuard, TellsTheEndOfTheStream) {
  CameraGuard guard(kLimits, 8, 0);
  guard.OnEnd(0.1);
  EXPECT_EQ(guard.Check(0.1)->cause, Cause::kCameraEnded);
}

SupplyGuard At(double amps) {
  SupplyGuard guard(kLimits);
  guard.OnLevel(0, amps, 5);
  return guard;
}

std::optional<Cause> CauseOf(SupplyGuard guard, const SupplyReading& reading) {
  guard.OnReading(reading);
  const auto trip = guard.Check(reading.time_s);
  return trip ? std::optional(trip->cause) : std::nullopt;
}

// Hundreds of readings a supply may give: each is within or beyond, as the rules say.
TEST(SupplyGuard, ToleratesTheMetersErrorAndNoMore) {
  std::mt19937 random(6);
  const auto uniform = [&](double a, double b) {
    return std::uniform_real_distribution<>(a, b)(random);
  };
  for (int trial = 0; trial < 500; ++trial) {
    const double set_a = uniform(0.05, 2);
    const double good_a = set_a + uniform(-0.01, 0.01);
    EXPECT_EQ(CauseOf(At(set_a), {1, uniform(0, 5.1), good_a, set_a}), std::nullopt);
    EXPECT_EQ(CauseOf(At(set_a), {1, 1, 1.04 * set_a + uniform(0.03, 3), set_a}), Cause::kAmps);
    EXPECT_EQ(CauseOf(At(set_a), {1, uniform(5.3, 40), good_a, set_a}), Cause::kVolts);
    EXPECT_EQ(CauseOf(At(0), {1, 0, uniform(0, 0.02), 0}), std::nullopt);
    EXPECT_EQ(CauseOf(At(0), {1, 0, uniform(0.03, 2), 0}), Cause::kAmpsAtZero);
  }
}

TEST(SupplyGuard, LetsTheOutputSettleButNotTheVolts) {
  EXPECT_EQ(CauseOf(At(0), {0.05, 0, 0.5, 0}), std::nullopt);
  EXPECT_EQ(CauseOf(At(0), {0.15, 0, 0.5, 0}), Cause::kAmpsAtZero);
  EXPECT_EQ(CauseOf(At(0.5), {0.05, 20, 0.5, 0.5}), Cause::kVolts);
}

TEST(SupplyGuard, WhatIsNoNumberIsNoAnswer) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(CauseOf(At(1), {1, nan, 1, 1}), Cause::kNoNumber);
  EXPECT_EQ(CauseOf(At(1), {1, 1, nan, 1}), Cause::kNoNumber);
}

TEST(SupplyGuard, TellsThatThePathOpened) {
  SupplyGuard guard = At(1);
  guard.OnReading({0.5, 1, 1, 1});
  guard.OnReading({0.6, 5, 0, 1});
  EXPECT_FALSE(guard.Check(0.6)) << "one reading may be odd";
  guard.OnReading({0.7, 5, 0, 1});
  ASSERT_TRUE(guard.Check(0.7));
  EXPECT_EQ(guard.Check(0.7)->cause, Cause::kPathOpened);
}

TEST(SupplyGuard, ALoadThatNeverTakesTheCurrentIsNoOpenPath) {
  SupplyGuard guard = At(1);
  for (int n = 1; n < 50; ++n) guard.OnReading({0.1 * n, 5, 0.3, 1});
  EXPECT_FALSE(guard.Check(5));
}

TEST(SupplyGuard, RefusesLevelsBeyondTheLimits) {
  EXPECT_TRUE(At(2.01).Check(0));
  SupplyGuard volts(kLimits);
  volts.OnLevel(0, 1, 5.01);
  EXPECT_TRUE(volts.Check(0));
}

TEST(SupplyGuard, CountsTheTimeFromTheFirstLevel) {
  SupplyGuard guard(kLimits);
  EXPECT_FALSE(guard.Check(1e9));
  guard.OnLevel(100, 0, 0);
  guard.OnLevel(150, 1, 5);
  EXPECT_FALSE(guard.Check(189.9));
  EXPECT_EQ(guard.Check(190.1)->cause, Cause::kTime);
}

TEST(SupplyGuard, KeepsTheFirstCause) {
  SupplyGuard guard = At(1);
  guard.OnSilence(false);
  guard.OnSilence(true);
  guard.OnTrip(Trip{Cause::kStaysOn});
  EXPECT_EQ(guard.Check(1)->cause, Cause::kSupplySilent);
}

// A reversed lead or a meter with the other sign: large is large.
TEST(SupplyGuard, SignsHideNothing) {
  EXPECT_EQ(CauseOf(At(0), {1, 0, -0.5, 0}), Cause::kAmpsAtZero);
  EXPECT_EQ(CauseOf(At(0), {1, 0, -0.01, 0}), std::nullopt);
  EXPECT_EQ(CauseOf(At(1), {1, -20, 1, 1}), Cause::kVolts);
  EXPECT_EQ(CauseOf(At(1), {1, 1, -3, 1}), Cause::kAmpsBackwards);
  EXPECT_EQ(CauseOf(At(1), {1, 1, -1, 1}), Cause::kAmpsBackwards);
  EXPECT_EQ(CauseOf(At(1), {1, 1, -0.01, 1}), std::nullopt);
}

TEST(SupplyGuard, RefusesLevelsThatAreNoCurrent) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const auto& [amps, volts] : {std::pair{-0.1, 1.0}, {0.1, -1.0}, {nan, 1.0}, {0.1, nan}}) {
    SupplyGuard guard(kLimits);
    guard.OnLevel(0, amps, volts);
    EXPECT_TRUE(guard.Check(0)) << amps << ' ' << volts;
  }
}

TEST(SupplyGuard, AtZeroTheMetersErrorIsAllowedAlone) {
  const double most_a = MostAmpsAtZero(kLimits);
  EXPECT_EQ(CauseOf(At(0), {1, 0, 0.99 * most_a, 0}), std::nullopt);
  EXPECT_EQ(CauseOf(At(0), {1, 0, 1.01 * most_a, 0}), Cause::kAmpsAtZero);
}

// What the rest showed counts, whatever was said of the camera before.
TEST(CameraGuard, TakesTheMeasuredRate) {
  CameraGuard guard(kLimits, 1, 0);
  EXPECT_NEAR(guard.silent_s(), 2.5, 1e-9);
  guard.OnRate(25);
  guard.OnFrame(1, Warm(25, 0), false);
  EXPECT_FALSE(guard.Check(1.49));
  EXPECT_TRUE(guard.Check(1.51));
}

}  // namespace
}  // namespace ohmglow::record
