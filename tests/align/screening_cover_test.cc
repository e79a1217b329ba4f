// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "align/screening_capture.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using Event = ScreeningEvent::Kind;
using Frame = ExcludedFrame::Kind;
using internal::Screening;
using testing::Capture;
using testing::Count;
using testing::Excluded;

constexpr int kComes = 50, kGoes = 70;  // First frame with, first frame without.

// A bar from the left rim, 40 px wide, that comes within three frames.
void HoldBar(Capture& capture, double temperature_k, int comes = kComes, int goes = kGoes) {
  for (int n = comes; n < goes; ++n) {
    const double in = std::min({(n - comes + 1) / 3.0, (goes - n) / 3.0, 1.0});
    const int tip = static_cast<int>(in * (80 + 5 * std::sin(n)));
    capture.frames_k[static_cast<std::size_t>(n)](cv::Rect(0, 40, tip, 40)) =
        static_cast<float>(temperature_k);
  }
}

TEST(ScreeningCoverTest, FramesWithAHandAreExcluded) {
  for (const double other_k : {306.0, 294.0}) {
    for (const double sway_px : {0.0, 1.5}) {
      Capture capture(140, sway_px);
      HoldBar(capture, other_k);
      capture.Expose();
      const Screening s = capture.Screen();
      const std::vector<int> out = Excluded(s.report, Frame::kCovered);
      ASSERT_FALSE(out.empty()) << other_k << ' ' << sway_px;
      EXPECT_LE(out.front(), kComes);
      EXPECT_GE(out.front(), kComes - 3);
      EXPECT_GE(out.back(), kGoes - 1);
      EXPECT_LE(out.back(), kGoes + 2);
      EXPECT_EQ(static_cast<int>(out.size()), out.back() - out.front() + 1);
      ASSERT_EQ(s.report.events.size(), 1U);
      EXPECT_EQ(s.report.events[0].kind, Event::kCovered);
      EXPECT_NEAR(s.report.events[0].step_k, other_k - 300, 1.5);
      EXPECT_EQ(s.num_segments, 1);
      const std::string word = other_k > 300 ? "warmer" : "colder";
      EXPECT_TRUE(testing::Says(s.report.events[0].what, word));
      EXPECT_TRUE(testing::Says(s.frames[60].reason, "in view"));
    }
  }
}

TEST(ScreeningCoverTest, FrozenFramesAndStepsDoNotHideIt) {
  Capture capture(140);
  capture.StepFrom(34, 1.5, 0.2);
  HoldBar(capture, 308);
  capture.Expose();
  capture.Repeat(30, 4);
  const Screening s = capture.Screen();
  EXPECT_EQ(Count(s.report, Event::kFreeze), 1);
  EXPECT_EQ(Count(s.report, Event::kCovered), 1);
  EXPECT_EQ(Excluded(s.report, Frame::kFrozen).size(), 4U);
}

TEST(ScreeningCoverTest, WhatStaysIsToldAndNothingIsExcluded) {
  Capture capture(140);
  HoldBar(capture, 306, 50, 140);
  for (int n = 137; n < 140; ++n) {
    capture.frames_k[static_cast<std::size_t>(n)](cv::Rect(0, 40, 80, 40)) = 306.0F;
  }
  capture.Expose();
  const Screening s = capture.Screen();
  EXPECT_TRUE(s.report.excluded.empty());
  ASSERT_EQ(Count(s.report, Event::kCovered), 1);
  EXPECT_TRUE(testing::Says(s.report.events.back().what, "stays"));
}

// A strong fault near the rim warms a wide place by kelvins within a second.
TEST(ScreeningCoverTest, HeatIsNoHand) {
  for (const double k_per_frame : {0.02, 0.1, 0.4}) {
    Capture capture(140);
    for (int n = 40; n < 140; ++n) {
      const double since = n - 40;
      const double width_px = 8 + 1.5 * std::sqrt(since);
      for (int r = 0; r < 120; ++r) {
        for (int c = 0; c < 160; ++c) {
          const double q = ((c - 12) * (c - 12) + (r - 60) * (r - 60)) / (width_px * width_px);
          capture.frames_k[static_cast<std::size_t>(n)](r, c) +=
              static_cast<float>(k_per_frame * since / (1 + since / 80) * std::exp(-0.5 * q));
        }
      }
    }
    capture.Expose();
    const Screening s = capture.Screen();
    EXPECT_TRUE(s.report.excluded.empty()) << k_per_frame;
    EXPECT_TRUE(s.report.events.empty()) << k_per_frame;
  }
}

TEST(ScreeningCoverTest, SlowWarmthOfANearHandIsNoHand) {
  Capture capture(140);
  for (int n = 40; n < 140; ++n) {
    const double warm = 0.8 * std::min({1.0, (n - 40) / 12.0, std::max(0.0, (110 - n) / 12.0)});
    for (int r = 0; r < 120; ++r) {
      for (int c = 0; c < 160; ++c) {
        const double q = ((c - 40) * (c - 40) + (r - 60) * (r - 60)) / (30.0 * 30.0);
        capture.frames_k[static_cast<std::size_t>(n)](r, c) +=
            static_cast<float>(warm * std::exp(-0.5 * q));
      }
    }
  }
  capture.Expose();
  EXPECT_TRUE(capture.Screen().report.excluded.empty());
}

}  // namespace
}  // namespace ohmglow
