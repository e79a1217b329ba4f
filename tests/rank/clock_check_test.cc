// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/clock_check.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "ohmglow/words/say.h"
#include "rank/places.h"
#include "support/looked.h"

namespace ohmglow {
namespace {

using testing::Blob;
using testing::Steps;

const cv::Size kSize(96, 72);
// Unlike steps, so that no other offset explains them.
const Steps kSteps = {{8, 1.0}, {14, 2.0}, {27, 0.0}};
constexpr double kEndS = 40;
constexpr double kThreshold = 5;

Stack WithHeat(bool two_places) {
  Stack stack = testing::StillStack(kSize, 80, 4, 0.125);
  std::mt19937 random(11);
  testing::AddNoise(random, 0.05, stack);
  testing::AddHeat(Image(0.8 * Blob(kSize, {25, 30}, 2)), kSteps, 1.0, 2, stack);
  if (two_places) testing::AddHeat(Image(0.6 * Blob(kSize, {70, 45}, 3)), kSteps, 2.5, 2, stack);
  return stack;
}

// What the places say where the log's clock was read as `offset_s` and 0 is right.
ClockHearing Hear(const Stack& stack, double offset_s, bool overrun = false) {
  const SupplyLog log = testing::StepLog(kSteps, kEndS);
  const TimeSpan filmed{stack.frame_times_s.front().front(), stack.frame_times_s.back().back()};
  testing::Looked looked(stack, Drive(log, offset_s, filmed));
  if (overrun) {
    looked.response.out_of_range = Mask(kSize, uchar{0});
    looked.response.out_of_range(30, 25) = 255;
  }
  PlaceCourses courses(looked.response, looked.model, looked.drive, looked.sources);
  const std::vector<Peak> places = FindPlaces(looked.response.detector, kThreshold);
  return HearClock(looked.response, places, log, filmed, offset_s, 10, courses);
}

TEST(HearClock, LeavesARightClockAlone) {
  const ClockHearing hearing = Hear(WithHeat(true), 0.1);
  EXPECT_FALSE(hearing.better_s.has_value());
  EXPECT_LT(hearing.spread_s, 0.1);
  EXPECT_LT(hearing.rival_prob, 0.1);
  EXPECT_FALSE(RivalRemark(hearing, 0.1));
}

TEST(HearClock, FindsTheRightOneFromAWrongOne) {
  for (const double wrong_s : {-6.0, 4.5}) {
    const ClockHearing hearing = Hear(WithHeat(true), wrong_s);
    ASSERT_TRUE(hearing.better_s.has_value()) << wrong_s;
    EXPECT_NEAR(*hearing.better_s, 0, 0.3) << wrong_s;
  }
}

TEST(HearClock, KeepsStillWhereTheHottestIsBeyondTheRange) {
  const ClockHearing hearing = Hear(WithHeat(true), 4.5, true);
  EXPECT_FALSE(hearing.better_s.has_value());
  EXPECT_EQ(hearing.spread_s, 0);
}

TEST(RivalRemark, NamesTheOtherClockFromATenthOn) {
  ClockHearing hearing;
  hearing.rival_s = -3.8;
  hearing.rival_prob = 0.05;
  EXPECT_FALSE(RivalRemark(hearing, -2.1));
  hearing.rival_prob = 0.27;
  const std::string text = Say(RivalRemark(hearing, -2.1).value());
  EXPECT_NE(text.find("-2.1 s"), std::string::npos) << text;
  EXPECT_NE(text.find("-3.8 s"), std::string::npos) << text;
  EXPECT_NE(text.find("27 %"), std::string::npos) << text;
}

}  // namespace
}  // namespace ohmglow
