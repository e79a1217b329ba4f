// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/detector.h"

#include <gtest/gtest.h>

#include <random>

#include "support/looked.h"

namespace ohmglow {
namespace {

using testing::Blob;
using testing::Steps;

const cv::Size kSize(96, 72);
const Steps kSteps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};
// What runs by itself, once, before the current rises.
const Steps kOnce = {{1, 1.0}, {9, 0.0}};
const Point kHeat(25, 36);
const Point kOther(70, 36);

Stack Noisy(unsigned seed) {
  Stack stack = testing::StillStack(kSize, 64, 5, 0.125);  // 40 s
  std::mt19937 random(seed);
  testing::AddNoise(random, 0.05, stack);
  return stack;
}

testing::Looked LookAt(const Stack& stack) {
  return {stack, Drive(testing::StepLog(kSteps, 40), 0)};
}

TEST(Detector, TellsWhatTheDriveDoesNotExplain) {
  Stack stack = Noisy(1);
  testing::AddHeat(Image(0.5 * Blob(kSize, kHeat, 2)), kSteps, 1.5, 2, stack);
  testing::AddHeat(Image(0.5 * Blob(kSize, kOther, 2)), kOnce, 1.5, 1, stack);
  const testing::Looked looked = LookAt(stack);
  const std::vector<Detector::Bright> bright = looked.response.detector.Unexplained(3);
  ASSERT_FALSE(bright.empty());
  EXPECT_LT(cv::norm(bright[0].at_px - kOther), 2);
  for (std::size_t i = 0; i < bright.size(); ++i) {
    EXPECT_GT(cv::norm(bright[i].at_px - kHeat), 3);
    EXPECT_LE(bright[i].energy, bright[0].energy);
  }
  EXPECT_TRUE(looked.response.detector.Unexplained(0).empty());
}

TEST(Detector, FindsNothingUnexplainedInNoise) {
  EXPECT_TRUE(LookAt(Noisy(2)).response.detector.Unexplained(8).empty());
}

// A pixel that is not seen changes the background's covariance by its own share, whichever it is:
// a choice of samples that hangs on all pixels before it would change it by 1/sqrt(samples).
TEST(Detector, LearnsTheSameBackgroundWithoutOnePixel) {
  const cv::Size size(176, 132);
  Stack stack = testing::StillStack(size, 64, 5, 0.125);
  std::mt19937 random(5);
  testing::AddNoise(random, 0.05, stack);
  // What every pixel does by itself: only that is learned.
  Image drift_k(size);
  cv::theRNG().state = 7;
  cv::randn(drift_k, 0, 0.2);
  for (int b = 0; b < stack.size(); ++b) {
    const double share = static_cast<double>(b) / stack.size();
    stack.bins_k[static_cast<std::size_t>(b)] += drift_k * share * share;
  }
  const Eigen::MatrixXd with = LookAt(stack).response.detector.covariance();
  stack.seen(40, 60) = 0;
  const Eigen::MatrixXd without = LookAt(stack).response.detector.covariance();
  EXPECT_LT((without - with).norm(), 1e-3 * with.norm());
}

// The same course at two places, as far apart as `apart_px`: is the stronger still outstanding?
double StandsOutBeside(double apart_px) {
  Stack stack = Noisy(3);
  const Point far = kHeat + Point(apart_px, 0);
  for (const auto& [at, rise_k] : {std::pair{kHeat, 0.6}, {far, 0.5}}) {
    testing::AddHeat(Image(rise_k * Blob(kSize, at, 2)), kOnce, 3, 1, stack);
  }
  const testing::Looked looked = LookAt(stack);
  return looked.response.detector.StandsOut(kHeat) / looked.response.detector.z()(cv::Point(kHeat));
}

// Heat comes out at several places of patchy copper: near and weaker, it is no second thing
// of its kind. Far away it is one.
TEST(Detector, TakesAWeakerOutletNearByForTheSameHeat) {
  EXPECT_GT(StandsOutBeside(20), 2 * StandsOutBeside(60));
}

}  // namespace
}  // namespace ohmglow
