// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/place_courses.h"

#include <gtest/gtest.h>

#include <random>

#include "support/looked.h"

namespace ohmglow {
namespace {

using testing::Steps;

const cv::Size kSize(72, 54);
const Steps kSteps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};
const Point kAt(36, 27);

// Of heat of `rise_k` with these steps, under the supply's.
double ClearStepsOf(double rise_k, const Steps& steps, double tau_s) {
  Stack stack = testing::StillStack(kSize, 64, 5, 0.125);  // 40 s
  std::mt19937 random(7);
  testing::AddNoise(random, 0.05, stack);
  testing::AddHeat(Image(rise_k * testing::Blob(kSize, kAt, 2)), steps, tau_s, 2, stack);
  const testing::Looked looked(stack, Drive(testing::StepLog(kSteps, 40), 0));
  PlaceCourses courses(looked.response, looked.model, looked.drive, looked.sources);
  return courses.At(kAt).clear_steps;
}

TEST(ClearSteps, GrowWithTheHeatAndThenStay) {
  const double faint = ClearStepsOf(0.02, kSteps, 1.5);
  const double clear = ClearStepsOf(0.3, kSteps, 1.5);
  const double strong = ClearStepsOf(10, kSteps, 1.5);
  const double stronger = ClearStepsOf(100, kSteps, 1.5);
  EXPECT_LT(faint, clear);
  EXPECT_LT(clear, strong);
  EXPECT_GT(clear, 14);
  // Beyond, the models' misfit rules, which has a bound that no heat lifts.
  EXPECT_NEAR(stronger / strong, 1, 0.1);
}

TEST(ClearSteps, AreFewOfWhatSwitchesByItselfHoweverStrong) {
  const double own = ClearStepsOf(10, kSteps, 1.5);
  EXPECT_LT(ClearStepsOf(10, {{21, 1.0}}, 1.5), 0.5 * own);
  EXPECT_LT(ClearStepsOf(10, {{-1, 0.0}, {0, 1.0}}, 30), 0.5 * own);
}

}  // namespace
}  // namespace ohmglow
