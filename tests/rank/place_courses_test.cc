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

constexpr double kLevelK = 300;

Stack HeatedStack(double rise_k, const Steps& steps, double tau_s) {
  Stack stack = testing::StillStack(kSize, 64, 5, 0.125, kLevelK);  // 40 s
  testing::AddHeat(Image(rise_k * testing::Blob(kSize, kAt, 2)), steps, tau_s, 2, stack);
  return stack;
}

void AddNoise(Stack& stack) {
  std::mt19937 random(7);
  testing::AddNoise(random, 0.05, stack);
}

// Of heat of `rise_k` with these steps, under the supply's.
double ClearStepsOf(double rise_k, const Steps& steps, double tau_s) {
  Stack stack = HeatedStack(rise_k, steps, tau_s);
  AddNoise(stack);
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

struct Asked {
  double clear_steps;
  CourseFit fit;
};

// Of heat of 17 K, of which some bins show only `kept`.
Asked AskSpoiled(const std::vector<std::size_t>& bins, float kept) {
  Stack stack = HeatedStack(17, kSteps, 1.5);
  for (const std::size_t bin : bins) {
    Image& picture_k = stack.bins_k[bin];
    picture_k = kLevelK + kept * (picture_k - kLevelK);
  }
  AddNoise(stack);
  const testing::Looked looked(stack, Drive(testing::StepLog(kSteps, 40), 0));
  PlaceCourses courses(looked.response, looked.model, looked.drive, looked.sources);
  const PlaceCourses::Place place = courses.At(kAt);
  return {place.clear_steps, courses.FitOf(place)};
}

class SpoiledBins : public ::testing::TestWithParam<std::vector<std::size_t>> {};

// The supply steps in bins 8, 24 and 44.
INSTANTIATE_TEST_SUITE_P(Anywhere,
                         SpoiledBins,
                         ::testing::Values(std::vector<std::size_t>{36},
                                           std::vector<std::size_t>{20, 36},
                                           std::vector<std::size_t>{36, 37},
                                           std::vector<std::size_t>{16, 42},
                                           std::vector<std::size_t>{25, 43},
                                           std::vector<std::size_t>{12, 13, 30}));

TEST_P(SpoiledBins, LeaveStrongHeatItsClearSteps) {
  const Asked sound = AskSpoiled({}, 1);
  for (const float kept : {0.0F, 1.0F / 3, 2.5F}) {
    SCOPED_TRACE(kept);
    const Asked spoiled = AskSpoiled(GetParam(), kept);
    EXPECT_GT(spoiled.clear_steps, 0.5 * sound.clear_steps);
    // Nothing else is a hundredth as likely.
    EXPECT_LT(spoiled.fit.log_by_itself, -4.6);
    EXPECT_LT(spoiled.fit.log_smooth, -4.6);
  }
}

}  // namespace
}  // namespace ohmglow
