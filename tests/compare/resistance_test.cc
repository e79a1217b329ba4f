// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/resistance.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/said.h"

namespace ohmglow {
namespace {

// Volts = ohms x amps (Ohm's law), a row every tenth of a second.
SupplyLog Log(double ohms, const std::vector<double>& levels_a, int rows_a_level = 40) {
  SupplyLog log;
  for (const double amps : levels_a) {
    for (int i = 0; i < rows_a_level; ++i) {
      log.time_s.push_back(0.1 * static_cast<double>(log.time_s.size()));
      log.amps_a.push_back(amps);
      log.volts_v.push_back(ohms * amps);
    }
  }
  return log;
}

TEST(CompareResistance, FollowsOhmsLaw) {
  const ResistanceChange change = CompareResistance(Log(0.3, {0, 1, 2, 0}), Log(4.7, {0, 0.5, 0}));
  EXPECT_NEAR(change.before_ohm.value(), 0.3, 1e-9);
  EXPECT_NEAR(change.after_ohm.value(), 4.7, 1e-9);
  EXPECT_NEAR(change.change_ohm.value(), 4.4, 1e-9);
  // The last digit, 0.01 V, as a uniform error at 2 A and at 0.5 A.
  const double digit_v = 0.01 / std::sqrt(12.0);
  EXPECT_NEAR(change.change_sigma_ohm.value(), std::hypot(digit_v / 2, digit_v / 0.5), 1e-9);
  EXPECT_TRUE(testing::Says(change.remark, "leads"));
}

// A junction's volts are not proportional: those at the highest current count.
TEST(CompareResistance, ReadsTheHighestCurrent) {
  SupplyLog log = Log(1, {1, 2});
  for (std::size_t i = 0; i < log.amps_a.size(); ++i) log.volts_v[i] = 0.6 + 0.1 * log.amps_a[i];
  EXPECT_NEAR(CompareResistance(log, log).before_ohm.value(), 0.8 / 2, 1e-9);
  EXPECT_NEAR(CompareResistance(log, log).change_ohm.value(), 0, 1e-12);
}

TEST(CompareResistance, IsNotMisledByALongRest) {
  SupplyLog log = Log(0.3, {2});
  const SupplyLog rest = Log(0, {0}, 5000);
  for (std::size_t i = 0; i < rest.time_s.size(); ++i) {
    log.time_s.push_back(10 + rest.time_s[i]);
    log.amps_a.push_back(0);
    log.volts_v.push_back(0);
  }
  EXPECT_NEAR(CompareResistance(log, log).before_ohm.value(), 0.3, 1e-9);
}

TEST(CompareResistance, CountsTheScatter) {
  SupplyLog log = Log(0.3, {2});
  for (std::size_t i = 0; i < log.volts_v.size(); ++i) log.volts_v[i] += i % 2 == 0 ? 0.1 : -0.1;
  const ResistanceChange change = CompareResistance(log, Log(0.3, {2}));
  EXPECT_NEAR(change.change_ohm.value(), 0, 1e-9);
  // Forty rows that scatter by 0.05 ohm.
  EXPECT_NEAR(change.change_sigma_ohm.value(), 0.05 / std::sqrt(39.0), 5e-4);
}

TEST(CompareResistance, SaysWhatIsUnknown) {
  const SupplyLog log = Log(0.3, {2});
  for (const auto& other : {std::optional<SupplyLog>(),
                            std::optional(SupplyLog{}),
                            std::optional(Log(0.3, {0})),
                            std::optional(Log(0.3, {-1}))}) {
    const ResistanceChange change = CompareResistance(log, other);
    EXPECT_NEAR(change.before_ohm.value(), 0.3, 1e-9);
    EXPECT_FALSE(change.after_ohm.has_value());
    EXPECT_FALSE(change.change_ohm.has_value());
    EXPECT_TRUE(testing::Says(change.remark, "cannot be compared"));
  }
}

}  // namespace
}  // namespace ohmglow
