// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/clock_reading.h"

#include <gtest/gtest.h>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

LocateResult Found(double offset_s, std::optional<double> sigma_s) {
  LocateResult result;
  result.clock_offset_s = offset_s;
  result.clock_offset_sigma_s = sigma_s;
  return result;
}

TEST(ReadClock, GivesOffsetAndStandardErrorAsTheyWereFound) {
  const auto clock = ReadClock(Found(-2.5, 0.04));
  ASSERT_TRUE(clock.has_value());
  EXPECT_EQ(clock->offset_s, -2.5);
  EXPECT_EQ(clock->sigma_s, 0.04);
}

TEST(ReadClock, TakesAGivenOffsetWithoutAnError) {
  const auto clock = ReadClock(Found(3, std::nullopt));
  ASSERT_TRUE(clock.has_value());
  EXPECT_EQ(clock->offset_s, 3);
  EXPECT_FALSE(clock->sigma_s.has_value());
}

TEST(ReadClock, GivesNoNumberWhereSeveralFit) {
  EXPECT_FALSE(ReadClock(LocateResult()).has_value());
  EXPECT_FALSE(ReadClock(Found(1, 1.01 * kUnsureClockS)).has_value());
  EXPECT_TRUE(ReadClock(Found(1, 0.99 * kUnsureClockS)).has_value());
  LocateResult rivalled = Found(1, 0.04);
  rivalled.supply_remarks = {Remark(RemarkKind::kRivalClock)};
  EXPECT_FALSE(ReadClock(rivalled).has_value());
}

}  // namespace
}  // namespace ohmglow
