// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/stack.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>

#include "ohmglow/base/error.h"
#include "support/scene.h"

namespace ohmglow {
namespace {

using testing::Blob;
using testing::StillAlignment;

const cv::Size kSize(40, 30);

std::vector<double> TimesS(int count) {
  std::vector<double> times_s;
  for (int i = 0; i < count; ++i) times_s.push_back(3 + 0.125 * i);
  return times_s;
}

// Frame i is i mK above 300 K everywhere.
MemoryFrames Counting(int count) {
  std::vector<Image> frames;
  for (int i = 0; i < count; ++i) frames.emplace_back(kSize, 300 + 1e-3F * static_cast<float>(i));
  return MemoryFrames(std::move(frames));
}

TEST(BuildStack, AveragesConsecutiveFrames) {
  MemoryFrames frames = Counting(100);
  HeatOptions options;
  options.max_bins = 20;
  const Stack stack = BuildStack(frames, TimesS(100), StillAlignment(kSize, 100), options);
  ASSERT_EQ(stack.size(), 20);
  for (int b = 0; b < 20; ++b) {
    const auto i = static_cast<std::size_t>(b);
    EXPECT_EQ(stack.num_frames[i], 5);
    EXPECT_EQ(stack.frame_times_s[i].size(), 5U);
    EXPECT_NEAR(stack.time_s[i], 3 + 0.125 * (5 * b + 2), 1e-12);
    EXPECT_NEAR(stack.bins_k[i](15, 20), 300 + 1e-3 * (5 * b + 2), 1e-4);
    EXPECT_FALSE(stack.poses[i].empty());
  }
  EXPECT_EQ(stack.seen(15, 20), 255);
}

TEST(BuildStack, NeverStraddlesAShutterEventAndSkipsUnusedFrames) {
  MemoryFrames frames = Counting(103);
  Alignment alignment = StillAlignment(kSize, 103);
  for (std::size_t i = 0; i < 103; ++i) alignment.frames[i].segment = i < 33 ? 0 : i < 70 ? 1 : 2;
  alignment.num_segments = 3;
  alignment.frames[50].used = false;
  HeatOptions options;
  options.max_bins = 16;
  const std::vector<double> times_s = TimesS(103);
  const Stack stack = BuildStack(frames, times_s, alignment, options);
  // Bounded: whatever the frame count, a part-filled bin more per segment.
  EXPECT_LE(stack.size(), 16 + 3);
  double total = 0;
  for (std::size_t b = 0; b < stack.bins_k.size(); ++b) {
    total += stack.num_frames[b];
    for (const double t : stack.frame_times_s[b]) {
      const auto index = static_cast<std::size_t>(std::lround((t - 3) / 0.125));
      EXPECT_NE(index, 50U);
      EXPECT_EQ(alignment.frames[index].segment, stack.segment[b]);
    }
  }
  EXPECT_EQ(total, 102);
}

TEST(BuildStack, FillsDeadAndUnreadablePixelsFromTheirNeighbours) {
  std::vector<Image> images;
  for (int i = 0; i < 16; ++i) {
    Image frame(kSize, 300.0F);
    frame(10, 10) = 900;                                                  // dead
    if (i == 5) frame(20, 30) = std::numeric_limits<float>::quiet_NaN();  // saturated once
    images.push_back(frame);
  }
  MemoryFrames frames(std::move(images));
  Alignment alignment = StillAlignment(kSize, 16);
  alignment.good_pixels(10, 10) = 0;
  alignment.good_pixels(10, 11) = 0;
  const Stack stack = BuildStack(frames, TimesS(16), alignment, {});
  for (const Image& bin : stack.bins_k) {
    EXPECT_TRUE(cv::checkRange(bin));
    EXPECT_LT(cv::norm(bin, Image(kSize, 300.0F), cv::NORM_INF), 1e-3);
  }
}

// Too hot to read from the middle of the capture on; dead from the start.
TEST(BuildStack, TellsWhatItCouldNotReadInAllFrames) {
  const float nan = std::numeric_limits<float>::quiet_NaN();
  const cv::Rect hot(10, 8, 12, 12);
  std::vector<Image> images;
  for (int i = 0; i < 40; ++i) {
    Image frame(kSize, 300.0F);
    if (i >= 20) frame(hot) = nan;
    if (i == 3) frame(24, 32) = nan;
    frame(25, 5) = nan;
    images.push_back(frame);
  }
  MemoryFrames frames(std::move(images));
  Alignment alignment = StillAlignment(kSize, 40);
  alignment.good_pixels(25, 5) = 0;
  const Stack stack = BuildStack(frames, TimesS(40), alignment, {});
  for (const Image& bin : stack.bins_k) {
    EXPECT_LT(cv::norm(bin, Image(kSize, 300.0F), cv::NORM_INF), 1e-3);  // and no 0 K
  }
  EXPECT_EQ(cv::countNonZero(stack.out_of_range), 16 * 16);  // what interpolation mixes in
  EXPECT_EQ(cv::countNonZero(stack.out_of_range(hot)), hot.area());
  EXPECT_EQ(stack.seen(14, 16), 0);
  EXPECT_EQ(stack.seen(24, 32), 255);  // once in forty is no loss
  EXPECT_EQ(stack.seen(25, 5), 255);   // a single dead pixel is filled
}

// What was read before the range ended is a lower limit of the rise, whatever all pixels gained.
TEST(BuildStack, KeepsTheLastReadingsOfWhatWentBeyondTheRange) {
  const cv::Rect hot(10, 8, 12, 12);
  std::vector<Image> images;
  for (int i = 0; i < 40; ++i) {
    Image frame(kSize, i < 8 ? 300.0F : 300.5F);
    if (i >= 10) frame(hot) += static_cast<float>(i - 10);
    frame.setTo(std::numeric_limits<float>::quiet_NaN(), frame > 320);
    images.push_back(frame);
  }
  MemoryFrames frames(std::move(images));
  const Stack stack = BuildStack(frames, TimesS(40), StillAlignment(kSize, 40), {});
  EXPECT_NEAR(stack.read_rise_k(14, 16), 19, 1e-3);  // 319.5 K were read, 320.5 K were not
  EXPECT_EQ(stack.read_rise_k(25, 35), 0);
  MemoryFrames within = Counting(40);
  EXPECT_TRUE(BuildStack(within, TimesS(40), StillAlignment(kSize, 40), {}).read_rise_k.empty());
}

TEST(BuildStack, PutsAMovedSceneInPlace) {
  const Point place(17.3, 12.6);
  std::vector<Image> images;
  Alignment alignment = StillAlignment(kSize, 32);
  for (int i = 0; i < 32; ++i) {
    const Similarity pose{0.15 * i - 1, 1.5 * std::sin(0.5 * i), 0.1 * i, 1 + 5e-4 * i};
    alignment.frames[static_cast<std::size_t>(i)].frame_from_reference = pose;
    images.push_back(Image(300 + Blob(kSize, pose.Apply(place, kSize), 2.0 * pose.scale)));
  }
  MemoryFrames frames(std::move(images));
  HeatOptions options;
  options.max_bins = 16;
  const Stack stack = BuildStack(frames, TimesS(32), alignment, options);
  const Image still(300 + Blob(kSize, place, 2.0));
  const cv::Rect inner(8, 6, 24, 18);
  for (const Image& bin : stack.bins_k) {
    EXPECT_LT(cv::norm(bin(inner), still(inner), cv::NORM_INF), 0.03);
  }
  // The far corner left the view now and then: it has no full course.
  EXPECT_EQ(stack.seen(15, 20), 255);
  EXPECT_EQ(stack.seen(15, 39), 0);
}

TEST(BuildStack, NeedsTwelveFrames) {
  MemoryFrames frames = Counting(20);
  Alignment alignment = StillAlignment(kSize, 20);
  for (std::size_t i = 0; i < 9; ++i) alignment.frames[i].used = false;
  try {
    static_cast<void>(BuildStack(frames, TimesS(20), alignment, {}));
    FAIL() << "eleven frames were taken";
  } catch (const DataError& error) {
    EXPECT_NE(std::string(error.what()).find("only 11 frames"), std::string::npos) << error.what();
  }
  alignment.frames[0].used = true;
  EXPECT_EQ(BuildStack(frames, TimesS(20), alignment, {}).size(), 12);
}

TEST(HeatOptions, NameFieldRuleAndValue) {
  const auto message = [](auto set) {
    HeatOptions options;
    set(options);
    try {
      options.Validate();
    } catch (const OptionError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  EXPECT_EQ(message([](HeatOptions&) {}), "");
  const std::string bins = message([](HeatOptions& o) { o.max_bins = 15; });
  EXPECT_NE(bins.find("max_bins"), std::string::npos);
  EXPECT_NE(bins.find("at least 16"), std::string::npos);
  EXPECT_NE(bins.find("15"), std::string::npos);
  const auto names = [&](const char* name, auto set) {
    EXPECT_NE(message(set).find(name), std::string::npos) << name;
  };
  names("pattern_iterations", [](HeatOptions& o) { o.pattern_iterations = -1; });
  names("pattern_modes", [](HeatOptions& o) { o.pattern_modes = 0; });
  names("pattern_ridge", [](HeatOptions& o) { o.pattern_ridge = 0; });
  names("drift_order", [](HeatOptions& o) { o.drift_order = 8; });
  names("misplaced_px", [](HeatOptions& o) { o.misplaced_px = -0.1; });
  names("clock_range_s", [](HeatOptions& o) { o.clock_range_s = std::nan(""); });
  names("clock_step_s", [](HeatOptions& o) { o.clock_step_s = 0; });
}

}  // namespace
}  // namespace ohmglow
