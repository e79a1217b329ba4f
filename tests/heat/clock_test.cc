// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "heat/clock_blocks.h"
#include "heat/response.h"
#include "support/plate_film.h"
#include "support/scene.h"

namespace ohmglow {
namespace {

using testing::Steps;

const cv::Size kSize(60, 45);
// On the frames' clock; no step falls together with a row of a slow log.
const Steps kSteps = {{6.25, 1.0}, {15.75, 2.0}, {27.125, 0.0}};

// A board heated by finite cells; no closed form of the product.
Stack Film(double power_w, bool far, unsigned seed) {
  Stack stack = testing::StillStack(kSize, 100, 3, 0.125);  // 37.5 s
  std::mt19937 random(seed);
  testing::AddNoise(random, 0.05, stack);
  testing::PlateSource source;
  source.power_w = power_w;
  source.far = far;
  source.center_px = {30, 20};
  if (power_w > 0) testing::AddPlate(source, kSteps, stack);
  return stack;
}

Steps OnTheLogsClock(double offset_s) {
  Steps steps = kSteps;
  for (auto& step : steps) step.first -= offset_s;
  return steps;
}

ClockFit Estimate(const Stack& stack, const SupplyLog& log) {
  return TimeLog(stack, log, Plate{}, 0.5, {}).fit;
}

// Heat on this face has the steps' corners; heat from the other face comes
// through the board, late and rounded. A bright source's halo, whose delay no
// kind of source has, pulls the estimate late by 0.1 to 0.3 s, on the far face
// by 0.6 to 0.9 s: these bounds hold that in check, they are not the goal.
TEST(EstimateClock, FindsTheOffsetFromEitherFace) {
  for (const bool far : {false, true}) {
    const Stack stack = Film(0.5, far, 21);
    for (const double offset_s : {-2.4, 0.0, 1.7}) {
      const ClockFit fit = Estimate(stack, testing::StepLog(OnTheLogsClock(offset_s), 34));
      EXPECT_NEAR(fit.offset_s, offset_s, far ? 1.0 : 0.35) << (far ? "far" : "near");
      EXPECT_LT(fit.sigma_s, 0.5);
    }
  }
}

TEST(EstimateClock, IsCloseWhereTheHaloIsFaint) {
  EXPECT_NEAR(Estimate(Film(0.03, false, 25), testing::StepLog(OnTheLogsClock(1.7), 34)).offset_s,
              1.7,
              0.15);
}

TEST(EstimateClock, FindsItFromALogOfOneRowASecond) {
  const Stack stack = Film(0.5, false, 22);
  const ClockFit fit = Estimate(stack, testing::SampledLog(OnTheLogsClock(1.7), 34, 1.0));
  EXPECT_NEAR(fit.offset_s, 1.7, 0.3);
}

// What the sparse first round leaves out had no vote.
TEST(BlockClock, FindsBySomeBlocksWhatAllWouldFind) {
  const Plate plate;
  const HeatOptions options;
  for (const double power_w : {0.03, 0.5}) {
    const Stack stack = Film(power_w, false, 26);
    for (const double offset_s : {-2.4, 0.3, 1.7}) {
      const SupplyLog log = testing::StepLog(OnTheLogsClock(offset_s), 34);
      const BlockClock clock(stack, log, plate, options);
      const ClockOffset some = clock.FindAround(0);
      const ClockOffset all = clock.FindAround(0, 1);
      EXPECT_NEAR(some.offset_s, all.offset_s, 0.005) << power_w << ' ' << offset_s;
      EXPECT_NEAR(some.sigma_s, all.sigma_s, 0.005) << power_w << ' ' << offset_s;
    }
  }
}

// Shifting all frames' times shifts the answer: no constant can pass.
TEST(EstimateClock, FollowsTheFramesClock) {
  Stack stack = Film(0.5, false, 23);
  const SupplyLog log = testing::StepLog(kSteps, 36);
  const double before_s = Estimate(stack, log).offset_s;
  for (std::size_t b = 0; b < stack.time_s.size(); ++b) {
    stack.time_s[b] += 1.25;
    for (double& t : stack.frame_times_s[b]) t += 1.25;
  }
  EXPECT_NEAR(Estimate(stack, log).offset_s, before_s + 1.25, 0.05);
}

// Nobody set these clocks alike: beyond the usual range, while all steps still
// fall into the capture.
TEST(EstimateClock, FindsALogThatIsFarOff) {
  const Stack stack = Film(0.5, false, 26);
  for (const double offset_s : {-9.0, -14.0}) {
    const ClockFit fit = Estimate(stack, testing::StepLog(OnTheLogsClock(offset_s), 55));
    EXPECT_NEAR(fit.offset_s, offset_s, 0.4);
    EXPECT_LT(fit.sigma_s, 0.5);
  }
}

// Hundreds of warm blocks share what no model knows: the error that is left
// must not shrink with their number.
TEST(EstimateClock, StatesAnErrorThatCoversItsMiss) {
  for (const double power_w : {0.5, 0.03}) {
    const ClockFit fit =
        Estimate(Film(power_w, false, 27), testing::StepLog(OnTheLogsClock(1.7), 34));
    EXPECT_LT(std::abs(fit.offset_s - 1.7), 3 * fit.sigma_s) << power_w;
  }
}

// Each of three steps lies anywhere between two rows: the middle of three such
// stretches' common part is known to row / sqrt(2 (n + 1) (n + 2)), n = 3.
TEST(EstimateClock, IsNoSurerThanTheLogsRows) {
  const Stack stack = Film(0.5, false, 28);
  const double sigma_s = Estimate(stack, testing::SampledLog(OnTheLogsClock(1.7), 34, 2.0)).sigma_s;
  EXPECT_GT(sigma_s, 0.75 * 2 / std::sqrt(40.0));
}

// Quarter of an hour in bins of 14 s: a step inside a bin is read off how far that
// bin rose, and no kind of source is right to more than a tenth of a rise.
TEST(EstimateClock, IsNoSurerThanATenthOfABin) {
  const Steps steps = {{125, 1.0}, {331, 2.0}, {701, 0.0}};
  Stack stack = testing::StillStack(kSize, 64, 7, 2);
  std::mt19937 random(30);
  testing::AddNoise(random, 0.05, stack);
  testing::AddHeat(Image(2 * testing::Blob(kSize, {30, 20}, 1.5)), steps, 0.5, 2, stack);
  const ClockFit fit = Estimate(stack, testing::StepLog(steps, 890, 1));
  EXPECT_GT(fit.sigma_s, 0.1 * 14 - 1e-6);
  EXPECT_LT(std::abs(fit.offset_s), 1.96 * fit.sigma_s);
}

// Shifting the log by d shifts the offset by -d.
TEST(EstimateClock, FollowsTheLogsClock) {
  const Stack stack = Film(0.2, false, 29);
  const double before_s = Estimate(stack, testing::StepLog(kSteps, 36)).offset_s;
  for (const double d : {-1.9, 0.85}) {
    SupplyLog log = testing::StepLog(kSteps, 36);
    for (double& t : log.time_s) t += d;
    EXPECT_NEAR(Estimate(stack, log).offset_s, before_s - d, 0.06) << d;
  }
}

TimedLog Time(const Stack& stack, const SupplyLog& log) {
  return TimeLog(stack, log, Plate{}, 0.5, {});
}

// Where a log's current first passes a value, on the frames' clock.
double PassesAt(const TimedLog& timed, double amps_a) {
  for (std::size_t i = 1; i < timed.log.time_s.size(); ++i) {
    if (timed.log.amps_a[i] >= amps_a) return timed.log.time_s[i] + timed.fit.offset_s;
  }
  return 1e9;
}

// Five seconds of rows are gone, the largest step among them: the others tell
// the offset, which the row after the gap (late by 2.2 s) must not pull.
TEST(TimeLog, IsNotMisledByAMissingPiece) {
  const SupplyLog log = testing::SampledLog(OnTheLogsClock(1.7), 34, 0.2);
  SupplyLog holed;
  for (std::size_t i = 0; i < log.time_s.size(); ++i) {
    const double frame_s = log.time_s[i] + 1.7;
    if (frame_s > 13 && frame_s < 18) continue;
    holed.time_s.push_back(log.time_s[i]);
    holed.volts_v.push_back(log.volts_v[i]);
    holed.amps_a.push_back(log.amps_a[i]);
  }
  const TimedLog timed = Time(Film(0.2, false, 30), holed);
  EXPECT_NEAR(timed.fit.offset_s, 1.7, 0.3);
  EXPECT_NEAR(PassesAt(timed, 1.5), 15.75, 0.5);
}

TEST(TimeLog, PlacesTheStepsOfASlowLogWhereTheyWere) {
  const TimedLog timed =
      Time(Film(0.2, false, 31), testing::SampledLog(OnTheLogsClock(0.3), 34, 1.0));
  // A step somewhere between two rows 1 s apart is known to 1 / sqrt(12) = 0.29 s.
  EXPECT_NEAR(PassesAt(timed, 0.5), 6.25, 0.25);
  EXPECT_NEAR(PassesAt(timed, 1.5), 15.75, 0.25);
  EXPECT_LT(std::abs(timed.fit.offset_s - 0.3), 2 * timed.fit.sigma_s);
}

// The supply's limiter takes two seconds for each rise.
TEST(TimeLog, IsNotMisledByARamp) {
  testing::Steps ramps;
  for (int k = 0; k < 16; ++k) ramps.emplace_back(6 + 0.125 * k, 1.0 / 16 * (k + 1));
  for (int k = 0; k < 16; ++k) ramps.emplace_back(16 + 0.125 * k, 1 + 1.0 / 16 * (k + 1));
  ramps.emplace_back(27.125, 0.0);
  Stack stack = testing::StillStack(kSize, 100, 3, 0.125);
  std::mt19937 random(32);
  testing::AddNoise(random, 0.05, stack);
  testing::PlateSource source;
  source.power_w = 0.2;
  source.center_px = {30, 20};
  testing::AddPlate(source, ramps, stack);
  testing::Steps log = ramps;
  for (auto& step : log) step.first -= 1.1;
  const TimedLog timed = Time(stack, testing::SampledLog(log, 34, 0.25));
  EXPECT_NEAR(timed.fit.offset_s, 1.1, 0.3);
}

TEST(TimeLog, DoubtsNoLogThatBelongs) {
  EXPECT_FALSE(Time(Film(0.5, false, 35), testing::StepLog(OnTheLogsClock(1.7), 34)).fit.foreign);
}

TEST(EstimateClock, SaysThatItDoesNotKnowWhereNothingIsWarm) {
  const ClockFit fit = Estimate(Film(0, false, 24), testing::StepLog(kSteps, 36));
  EXPECT_GT(fit.sigma_s, 1.0);
  EXPECT_LT(std::abs(fit.offset_s), 3.0);  // Near what two clocks set by hand have.
}

}  // namespace
}  // namespace ohmglow
