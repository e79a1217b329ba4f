// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/wide_places.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <random>

#include "ohmglow/locate.h"
#include "support/looked.h"
#include "support/plate_film.h"

namespace ohmglow {
namespace {

const cv::Size kSize(96, 72);
constexpr double kMmPerPixel = 0.5;
constexpr double kNoiseK = 0.05;
const Point kContact(40, 36);
const Point kBelow(54, 36);  // 7 mm beside it

Image Noise(unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<float> noise(0, static_cast<float>(kNoiseK));
  Image out(kSize);
  for (float& value : out) value = noise(random);
  return out;
}

std::vector<WidePlace> Find(const HeatLeft& heat) {
  return FindWidePlaces(heat, Mask(kSize, 255), {}, kMmPerPixel, kNoiseK, {});
}

TEST(WidePlaces, FindsWideHeatBesideWhatIsExplained) {
  const Image sharp(5 * testing::Blob(kSize, kContact, 4));
  const Image wide(2 * testing::Blob(kSize, kBelow, 8));
  const std::vector<WidePlace> places =
      Find({Image(sharp + wide + Noise(1)), Image(wide + Noise(1))});
  ASSERT_EQ(places.size(), 1U);
  EXPECT_LT(cv::norm(places.front().peak.at_px - kBelow), 1);
  EXPECT_GT(places.front().peak.height, 100);
  EXPECT_LT(places.front().held_of_left, 0.2);
}

// Round models leave a part of any source over in patchy copper: that is none of its own.
TEST(WidePlaces, FindsNoneWhereMostIsExplained) {
  const Image wide(2 * testing::Blob(kSize, kBelow, 8));
  EXPECT_TRUE(Find({Image(wide + Noise(1)), Image(0.4 * wide + Noise(1))}).empty());
}

// ... nor what is taken out in excess, nor what is weaker than half of what is explained, nor what
// lies beside a clear place.
TEST(WidePlaces, FindsNoneBesideStrongerHeat) {
  const Image strong(5 * testing::Blob(kSize, {20, 20}, 8));
  const Image weak(2 * testing::Blob(kSize, kBelow, 8));
  EXPECT_TRUE(Find({Image(strong + weak + Noise(1)), Image(weak + Noise(1))}).empty());
  EXPECT_TRUE(Find({Noise(1), Image(weak + Noise(1))}).empty());
  const Point clear(60, 36);
  EXPECT_TRUE(FindWidePlaces({weak, weak}, Mask(kSize, 255), {&clear, 1}, kMmPerPixel, kNoiseK, {})
                  .empty());
}

TEST(WidePlaces, FindsNoneInNoise) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    EXPECT_TRUE(Find({Noise(seed), Noise(seed)}).empty()) << seed;
  }
}

// What is cold on the board: known at every place.
Image Texture() {
  Image out(kSize);
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      out(y, x) = static_cast<float>(296 + 0.6 * std::sin(0.45 * x + 0.3) * std::cos(0.38 * y) +
                                     0.4 * std::sin(0.13 * x - 0.52 * y));
    }
  }
  return out;
}

// A contact at the near face and a short below the board, 48 x 36 mm in view.
LocateResult LocateBeside(double contact_w, double below_w) {
  const testing::Steps steps = {{6, 1.0}, {18, 2.0}, {32, 0.0}};
  constexpr int kNumFrames = 160;
  constexpr double kFrameS = 0.25;
  Stack stack = testing::StillStack(kSize, kNumFrames, 1, kFrameS, 0);
  testing::PlateSource source;
  source.center_px = kContact;
  source.power_w = contact_w;
  testing::AddPlate(source, steps, stack);
  source.center_px = kBelow;
  source.power_w = below_w;
  source.far = true;
  testing::AddPlate(source, steps, stack);
  std::mt19937 random(31);
  testing::AddNoise(random, kNoiseK, stack);
  Case job;
  for (int i = 0; i < kNumFrames; ++i) job.frame_times_s.push_back(kFrameS * i);
  for (Image& frame : stack.bins_k) frame += Texture();
  job.frames = std::make_shared<MemoryFrames>(std::move(stack.bins_k));
  job.supply = testing::StepLog(steps, 38);
  job.contacts.push_back({kContact, "PC1"});
  return Locate(job, {});
}

TEST(WidePlaces, ShowAShortBelowTheBoardBesideALeadContact) {
  const LocateResult result = LocateBeside(0.1, 0.3);
  ASSERT_FALSE(result.candidates.empty());
  const Candidate& first = result.candidates.front();
  EXPECT_LT(kMmPerPixel * cv::norm(first.Peak() - kBelow), 2.5);
  EXPECT_FALSE(first.contact.has_value());
  EXPECT_EQ(result.verdict, Verdict::kFound);
}

TEST(WidePlaces, MakeNoFaultOfAContactAlone) {
  const LocateResult result = LocateBeside(0.3, 0);
  EXPECT_EQ(result.verdict, Verdict::kNone);
}

}  // namespace
}  // namespace ohmglow
