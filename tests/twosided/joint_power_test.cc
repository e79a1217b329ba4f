// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/joint_power.h"

#include <gtest/gtest.h>

#include <cmath>

namespace ohmglow {
namespace {

double LogSigma(const JointPower& power) {
  return std::log(power.high_w / power.low_w) / (2 * 1.96);
}

TEST(PowerOf, ReadsTheIntervalAndAnotherCurrent) {
  Candidate candidate;
  candidate.power_w = 0.1;
  candidate.power_low_w = 0.1 * std::exp(-1.96 * 0.3);
  candidate.power_high_w = 0.1 * std::exp(1.96 * 0.3);
  const LogPower alike = PowerOf(candidate, 2, false);
  EXPECT_NEAR(alike.power_w, 0.2, 1e-12);
  EXPECT_NEAR(alike.log_sigma, 0.3, 1e-12);
  EXPECT_NEAR(PowerOf(candidate, 1, true).log_sigma, 0.5, 1e-12);  // 0.3 and 0.4
}

TEST(JoinPowers, LiesBetweenAndIsSurerThanEach) {
  const JointPower power = JoinPowers({0.10, 0.3}, {0.13, 0.4});
  EXPECT_FALSE(power.conflict);
  EXPECT_GT(power.power_w, 0.10);
  EXPECT_LT(power.power_w, 0.115);  // The near side is the surer.
  EXPECT_LT(LogSigma(power), 0.3);
  EXPECT_GT(LogSigma(power), 0.18);  // What both assume stays.
}

TEST(JoinPowers, NeverAveragesAContradiction) {
  const JointPower power = JoinPowers({0.02, 0.25}, {0.2, 0.25});
  EXPECT_TRUE(power.conflict);
  EXPECT_EQ(power.power_w, 0.02);
  EXPECT_LT(power.low_w, 0.02);
  EXPECT_GT(power.high_w, 0.2);
}

TEST(JoinPowers, OfOneSideAloneIsThat) {
  for (const JointPower& power :
       {JoinPowers({0.05, 0.3}, {0, 1}), JoinPowers({0, 1}, {0.05, 0.3})}) {
    EXPECT_EQ(power.power_w, 0.05);
    EXPECT_NEAR(LogSigma(power), 0.3, 1e-12);
    EXPECT_FALSE(power.conflict);
  }
}

}  // namespace
}  // namespace ohmglow
