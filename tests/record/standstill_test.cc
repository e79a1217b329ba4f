// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/standstill.h"

#include <gtest/gtest.h>

#include <limits>

#include "record/link.h"

namespace ohmglow::record {
namespace {

TEST(Standstill, IsSilentWhileBothClocksGoOn) {
  Standstill standstill(0.4);
  for (double now_s = 7; now_s < 100; now_s += 0.3) {
    EXPECT_FALSE(standstill.Missed(now_s, now_s + 1234.5 + 0.01 * (now_s > 50)));
  }
}

// CLOCK_MONOTONIC stands while the system is suspended, CLOCK_BOOTTIME goes on
// (clock_gettime(2)).
TEST(Standstill, TellsASleep) {
  Standstill standstill(std::numeric_limits<double>::infinity());
  EXPECT_FALSE(standstill.Missed(10, 500));
  const auto missed_s = standstill.Missed(10.02, 530.02);
  ASSERT_TRUE(missed_s);
  EXPECT_NEAR(*missed_s, 30, 0.1);
  EXPECT_FALSE(standstill.Missed(10.04, 530.04)) << "told once";
}

TEST(Standstill, TellsAGap) {
  Standstill standstill(0.4);
  EXPECT_FALSE(standstill.Missed(10, 10));
  EXPECT_FALSE(standstill.Missed(10.39, 10.39));
  EXPECT_TRUE(standstill.Missed(10.8, 10.8));
}

TEST(Standstill, TheSystemsClocksGoTogether) {
  Standstill standstill(std::numeric_limits<double>::infinity());
  for (int n = 0; n < 1000; ++n) EXPECT_FALSE(standstill.Missed(NowSeconds(), BootSeconds()));
}

}  // namespace
}  // namespace ohmglow::record
