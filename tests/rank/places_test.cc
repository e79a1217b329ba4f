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

// On the slope of stronger heat that spreads slowly a faint source is a maximum of its quick
// steps, though none of all that is seen there.
TEST(Places, FindsAFaintSourceOnTheSlopeOfAStrongerOne) {
  const cv::Size size(160, 120);
  const testing::Steps turns = {{5, 2}, {11, 0}, {17, 2}, {23, 0}, {29, 2}, {35, 0}};
  const Point strong(40, 60);
  const Point faint(64, 60);
  const Image quick_k(0.06 * testing::Blob(size, strong, 6) +
                      0.015 * testing::Blob(size, faint, 5));
  const Image slow_k(0.05 * testing::Blob(size, strong, 15));
  const auto has_it = [&](const std::vector<Peak>& places) {
    return std::any_of(places.begin(), places.end(), [&](const Peak& peak) {
      return cv::norm(peak.at_px - faint) < 6;
    });
  };
  int on_a_slope = 0;
  for (unsigned seed = 1; seed <= 6; ++seed) {
    Stack stack = testing::StillStack(size, 64, 5, 0.125);
    std::mt19937 random(seed);
    testing::AddNoise(random, 0.05, stack);
    testing::AddHeat(quick_k, turns, 1.5, 2, stack);
    testing::AddHeat(slow_k, turns, 8, 2, stack);
    const testing::Looked looked(stack, Drive(testing::StepLog(turns, 40), 0));
    const Detector& detector = looked.response.detector;
    Image seen = detector.z().clone();
    seen.setTo(0, seen < kThreshold);
    const bool steps = detector.z_steps()(cv::Point(faint)) > 7.5;
    if (!steps || has_it(FindPeaks(seen, 1e-9, 0.75))) continue;
    ++on_a_slope;
    EXPECT_TRUE(has_it(FindPlaces(detector, kThreshold))) << seed;
  }
  EXPECT_GE(on_a_slope, 4);
}

// At the size that suits a chip best, uphill may lead to a wide body beside it: the chip stays a
// place of its own where it is the higher of the two.
TEST(Places, KeepsAChipWhoseOwnSizeLeadsToABodyBesideIt) {
  const Point body(40, 36);
  const Point chip(52, 36);
  for (const double rise_k : {0.08, 0.1}) {
    Stack stack = testing::StillStack(kSize, 64, 5, 0.125);
    std::mt19937 random(7);
    testing::AddNoise(random, 0.05, stack);
    const Image heat_k(0.1 * testing::Blob(kSize, body, 6) +
                       rise_k * testing::Blob(kSize, chip, 3));
    testing::AddHeat(heat_k, kSteps, 1.5, 2, stack);
    const testing::Looked looked(stack, Drive(testing::StepLog(kSteps, 40), 0));
    const Detector& detector = looked.response.detector;
    const Point led = ClimbTo(detector.StepsAt(chip).front().steps_k, chip).at_px;
    ASSERT_LT(cv::norm(led - body), 4) << "the chip's size does not lead to the body";
    const std::vector<Peak> places = FindPlaces(detector, kThreshold);
    EXPECT_TRUE(std::any_of(places.begin(), places.end(), [&](const Peak& peak) {
      return cv::norm(peak.at_px - chip) < 4;
    })) << rise_k;
  }
}

// What passes once beside a chip, as a hand does, has larger steps than it, but hardly the
// supply's.
TEST(Places, KeepsAChipBesideBroadHeatOfSomethingElse) {
  const cv::Size size(160, 120);
  const testing::Steps turns = {{5, 2}, {11, 0}, {17, 2}, {23, 0}, {29, 2}, {35, 0}};
  const testing::Steps once = {{13, 2}, {20, 0}};
  const Point chip(70, 60);
  const Point other(88, 60);
  for (const double other_k : {2.0, 2.4, 2.8}) {
    Stack stack = testing::StillStack(size, 64, 5, 0.125);
    std::mt19937 random(7);
    testing::AddNoise(random, 0.05, stack);
    testing::AddHeat(Image(0.03 * testing::Blob(size, chip, 3)), turns, 1.5, 2, stack);
    testing::AddHeat(Image(other_k * testing::Blob(size, other, 9)), once, 1.5, 2, stack);
    const testing::Looked looked(stack, Drive(testing::StepLog(turns, 40), 0));
    const Detector& detector = looked.response.detector;
    const Point led = ClimbTo(detector.StepsAt(chip).front().steps_k, chip).at_px;
    ASSERT_LT(cv::norm(led - other), 4) << "the chip's size does not lead away";
    const std::vector<Peak> places = FindPlaces(detector, kThreshold);
    EXPECT_TRUE(std::any_of(places.begin(), places.end(), [&](const Peak& peak) {
      return cv::norm(peak.at_px - chip) < 4;
    })) << other_k;
  }
}

}  // namespace
}  // namespace ohmglow
