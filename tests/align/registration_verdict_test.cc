// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/registration_verdict.h"

#include <gtest/gtest.h>

#include <vector>

namespace ohmglow {
namespace {

// Used frames of the given expected errors, and one that was left out.
Alignment WithErrors(const std::vector<double>& errors_px) {
  Alignment alignment;
  for (const double error_px : errors_px) {
    alignment.frames.emplace_back();
    alignment.frames.back().used = true;
    alignment.frames.back().residual_px = error_px;
  }
  alignment.frames.emplace_back();
  alignment.frames.back().used = false;
  alignment.frames.back().residual_px = 99;
  return alignment;
}

RegistrationVerdict VerdictOf(double middle_px, double large_px) {
  std::vector<double> errors_px(20, middle_px);
  errors_px[3] = large_px;  // In no order; one of twenty is the 95 % point.
  return JudgeRegistration(WithErrors(errors_px)).verdict;
}

TEST(JudgeRegistration, TakesTheMiddleAndTheLargeErrorOfTheUsedFrames) {
  std::vector<double> errors_px(20, 0.05);
  errors_px[3] = 0.2;
  const RegistrationErrors errors = JudgeRegistration(WithErrors(errors_px));
  EXPECT_EQ(errors.middle_px, 0.05);
  EXPECT_EQ(errors.large_px, 0.2);
}

TEST(JudgeRegistration, GoesByTheWorseOfBoth) {
  EXPECT_EQ(VerdictOf(0.1, 0.25), RegistrationVerdict::kHolds);
  EXPECT_EQ(VerdictOf(0.11, 0.25), RegistrationVerdict::kDoubtful);
  EXPECT_EQ(VerdictOf(0.05, 0.26), RegistrationVerdict::kDoubtful);
  EXPECT_EQ(VerdictOf(0.29, 0.7), RegistrationVerdict::kDoubtful);
  EXPECT_EQ(VerdictOf(0.05, 0.76), RegistrationVerdict::kFails);
  EXPECT_EQ(VerdictOf(0.31, 0.31), RegistrationVerdict::kFails);
  EXPECT_EQ(VerdictOf(2, 2), RegistrationVerdict::kNotTold);
}

}  // namespace
}  // namespace ohmglow
