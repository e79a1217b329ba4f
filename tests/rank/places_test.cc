// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/places.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "support/looked.h"

namespace ohmglow {
namespace {

const cv::Size kSize(96, 72);
const testing::Steps kSteps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};
const Point kBody(48, 36);
constexpr double kThreshold = 5.2;

testing::Looked LookAtBody(double rise_k, unsigned seed) {
  Stack stack = testing::StillStack(kSize, 64, 5, 0.125);  // 40 s
  std::mt19937 random(seed);
  testing::AddNoise(random, 0.05, stack);
  testing::AddHeat(Image(rise_k * testing::Blob(kSize, kBody, 7)), kSteps, 1.5, 2, stack);
  return {stack, Drive(testing::StepLog(kSteps, 40), 0)};
}

// What limits the search is the threshold alone, never how clear the steps are: a wide source
// whose steps are just about clear has its highest fine pixel beside its middle.
TEST(Places, FindsAWideSourceHoweverClearItsSteps) {
  int near_the_limit = 0;
  for (unsigned seed = 1; seed <= 24; ++seed) {
    const double rise_k = 0.023 + 0.00025 * seed;
    const testing::Looked looked = LookAtBody(rise_k, seed);
    const Detector& detector = looked.response.detector;
    const cv::Rect middle(cv::Point(kBody) - cv::Point(4, 4), cv::Size(9, 9));
    double steps = 0;
    double z = 0;
    cv::minMaxLoc(detector.z_steps()(middle), nullptr, &steps);
    cv::minMaxLoc(detector.z()(middle), nullptr, &z);
    ASSERT_GT(z, kThreshold) << rise_k;
    if (steps > 13 && steps < 20) ++near_the_limit;
    const std::vector<Peak> places = FindPlaces(detector, kThreshold);
    EXPECT_TRUE(std::any_of(places.begin(),
                            places.end(),
                            [](const Peak& peak) { return cv::norm(peak.at_px - kBody) < 7; }))
        << rise_k << " K, steps " << steps;
  }
  EXPECT_GE(near_the_limit, 12);
}

// A wide moulded body beside a small hot part: its hump in the map is hardly parted from
// the other, but by many times the noise.
TEST(Places, PartsASecondSourceFromASharperOneBesideIt) {
  const Point small(40, 36);
  const Point wide(52, 36);
  Stack stack = testing::StillStack(kSize, 64, 5, 0.125);
  std::mt19937 random(7);
  testing::AddNoise(random, 0.05, stack);
  const Image heat_k(0.9 * testing::Blob(kSize, small, 2.5) + 0.5 * testing::Blob(kSize, wide, 6));
  testing::AddHeat(heat_k, kSteps, 1.5, 2, stack);
  const testing::Looked looked(stack, Drive(testing::StepLog(kSteps, 40), 0));
  const std::vector<Peak> places = FindPlaces(looked.response.detector, kThreshold);
  for (const Point source : {small, wide}) {
    EXPECT_TRUE(std::any_of(places.begin(), places.end(), [&](const Peak& peak) {
      return cv::norm(peak.at_px - source) < 4;
    })) << source;
  }
  EXPECT_EQ(places.size(), 2U);
}

}  // namespace
}  // namespace ohmglow
