// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <limits>
#include <numeric>

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
using testing::kNoise_k;

std::vector<int> Range(int first, int length) {
  std::vector<int> out(static_cast<std::size_t>(length));
  std::iota(out.begin(), out.end(), first);
  return out;
}

TEST(ScreeningTest, InventsNothing) {
  for (const double sway_px : {0.0, 0.8, 3.0}) {
    for (unsigned seed = 1; seed <= 3; ++seed) {
      Capture capture(80, sway_px, seed);
      capture.Expose();
      const Screening s = capture.Screen();
      EXPECT_TRUE(s.report.events.empty()) << sway_px << ' ' << seed;
      EXPECT_TRUE(s.report.excluded.empty());
      EXPECT_EQ(s.num_segments, 1);
      EXPECT_EQ(s.report.saturated_for_a_while, 0);
    }
  }
}

TEST(ScreeningTest, FreezeThenStep) {
  Capture capture(80);
  capture.StepFrom(34, 0.3, 0.15);
  capture.Expose();
  capture.Repeat(30, 4);
  const Screening s = capture.Screen();
  EXPECT_EQ(Excluded(s.report, Frame::kFrozen), Range(30, 4));
  ASSERT_EQ(s.report.events.size(), 1U);
  const ScreeningEvent& e = s.report.events[0];
  EXPECT_EQ(e.kind, Event::kFreeze);
  EXPECT_EQ(e.frame, 30);
  EXPECT_EQ(e.length, 4);
  EXPECT_NEAR(e.step_k, 0.3, 0.02);
  EXPECT_NEAR(e.shape_k, 0.15 / std::sqrt(3.0), 0.02);  // Rms of a plane from -1 to 1.
  EXPECT_EQ(s.num_segments, 2);
  EXPECT_EQ(s.frames[29].segment, 0);
  EXPECT_EQ(s.frames[34].segment, 1);
  EXPECT_FALSE(s.frames[31].used);
  EXPECT_TRUE(testing::Says(s.frames[31].reason, "repeats frame 29"));
}

TEST(ScreeningTest, JumpWithoutFreeze) {
  Capture capture(80);
  capture.StepFrom(40, 0.0, 0.2);
  capture.Expose();
  const Screening s = capture.Screen();
  ASSERT_EQ(s.report.events.size(), 1U);
  EXPECT_EQ(s.report.events[0].kind, Event::kJump);
  EXPECT_EQ(s.report.events[0].frame, 40);
  EXPECT_NEAR(s.report.events[0].step_k, 0, 0.02);
  EXPECT_NEAR(s.report.events[0].shape_k, 0.2 / std::sqrt(3.0), 0.02);
  EXPECT_TRUE(s.report.excluded.empty());
  EXPECT_EQ(s.frames[39].segment, 0);
  EXPECT_EQ(s.frames[40].segment, 1);
}

TEST(ScreeningTest, SeveralInOneCapture) {
  Capture capture(120);
  capture.StepFrom(23, 0.2, 0.1);
  capture.StepFrom(50, -0.2, 0.1);
  capture.StepFrom(96, 0.1, -0.2);
  capture.Expose();
  capture.Repeat(20, 3);
  capture.Repeat(70, 1);
  capture.Repeat(91, 5);
  const Screening s = capture.Screen();
  EXPECT_EQ(Count(s.report, Event::kFreeze), 2);
  EXPECT_EQ(Count(s.report, Event::kJump), 1);
  EXPECT_EQ(Count(s.report, Event::kDoubled), 1);
  EXPECT_EQ(Excluded(s.report, Frame::kDoubled), Range(70, 1));
  EXPECT_EQ(s.num_segments, 4);
  EXPECT_EQ(s.frames[95].segment, 2);
  EXPECT_EQ(s.frames[96].segment, 3);
}

TEST(ScreeningTest, FreezeAtStartAndEnd) {
  Capture capture(60);
  capture.StepFrom(4, 0.3, 0.1);
  capture.Expose();
  capture.Repeat(1, 3);
  capture.Repeat(56, 4);
  const Screening s = capture.Screen();
  std::vector<int> frozen = Range(1, 3);
  for (const int n : Range(56, 4)) frozen.push_back(n);
  EXPECT_EQ(Excluded(s.report, Frame::kFrozen), frozen);
  EXPECT_EQ(s.num_segments, 2);  // Nothing comes after the last freeze.
  EXPECT_EQ(s.frames[59].segment, 1);
  EXPECT_EQ(Count(s.report, Event::kFreeze), 2);
}

TEST(ScreeningTest, OneRepeatAndAJumpIsAFreeze) {
  Capture capture(60);
  capture.StepFrom(31, 0.3, 0.1);
  capture.Expose();
  capture.Repeat(30, 1);
  const Screening s = capture.Screen();
  EXPECT_EQ(Count(s.report, Event::kFreeze), 1);
  EXPECT_EQ(Count(s.report, Event::kJump), 0);
  EXPECT_EQ(s.num_segments, 2);
}

TEST(ScreeningTest, RecordedFasterThanFilmed) {
  Capture capture(120);
  capture.Expose();
  for (int n = 0; n + 2 < 120; n += 3) capture.Repeat(n + 1, 2);
  const Screening s = capture.Screen();
  EXPECT_EQ(s.num_segments, 1);
  EXPECT_EQ(Count(s.report, Event::kFreeze), 0);
  EXPECT_EQ(Excluded(s.report, Frame::kDoubled).size(), 80U);
  // The noise is that of the frames between which nothing was repeated.
  Capture single(120);
  single.Expose();
  const double noise_k = single.Screen().noise_k;
  EXPECT_NEAR(s.noise_k, noise_k, 0.1 * noise_k);
}

TEST(ScreeningTest, BumpIsNoJump) {
  Capture capture(80, 0.0);
  const testing::AnalyticScene scene({160, 120}, 1);
  Similarity moved;
  moved.dx_px = 12;
  moved.rotation_deg = 2;
  const Image change(scene.Render(moved) - scene.Render({}));
  for (std::size_t n = 40; n < 80; ++n) capture.frames_k[n] += change;
  capture.Expose();
  const Screening s = capture.Screen();
  EXPECT_TRUE(s.report.events.empty());
  EXPECT_EQ(s.num_segments, 1);
}

TEST(ScreeningTest, SaturatedFrame) {
  Capture capture(40);
  capture.Expose();
  capture.frames_k[10](cv::Rect(0, 0, 160, 70)) = std::numeric_limits<float>::quiet_NaN();
  capture.frames_k[20](cv::Rect(40, 40, 10, 10)) = std::numeric_limits<float>::quiet_NaN();
  const Screening s = capture.Screen();
  EXPECT_EQ(Excluded(s.report, Frame::kSaturated), Range(10, 1));
  EXPECT_TRUE(s.frames[20].used);
  EXPECT_EQ(s.report.saturated_for_a_while, 100);
  EXPECT_EQ(cv::countNonZero(s.good_pixels == 0), 0);
}

TEST(ScreeningTest, ShortCaptures) {
  for (const int count : {10, 27}) {
    Capture capture(count);
    capture.StepFrom(7, 0.4, 0.15);
    capture.Expose();
    capture.Repeat(5, 2);
    capture.frames_k[0](3, 3) = std::numeric_limits<float>::quiet_NaN();
    for (Image& f : capture.frames_k) f(60, 80) = 310;
    const Screening s = capture.Screen();
    EXPECT_EQ(Excluded(s.report, Frame::kFrozen), Range(5, 2)) << count;
    EXPECT_EQ(s.num_segments, 2) << count;
    EXPECT_EQ(s.good_pixels(60, 80), 0) << count;
    // One more in 19 200 may be lost.
    EXPECT_LE(cv::countNonZero(s.good_pixels == 0), 2) << count;
  }
}

TEST(ScreeningTest, TwoFramesAndNone) {
  Capture capture(2);
  capture.Expose();
  const Screening s = capture.Screen();
  EXPECT_EQ(s.num_segments, 1);
  EXPECT_LE(cv::countNonZero(s.good_pixels == 0), 3);
  capture.Repeat(1, 1);
  EXPECT_FALSE(capture.Screen().frames[1].used);
}

// A report's places in time and on the sensor, without its sizes.
std::string Places(const Screening& s) {
  std::string text;
  for (const ScreeningEvent& e : s.report.events) {
    text += std::string(Name(e.kind)) + ' ' + std::to_string(e.frame) + ' ' +
            std::to_string(e.length) + ';';
  }
  for (const ExcludedFrame& e : s.report.excluded) {
    text += std::string(Name(e.kind)) + ' ' + std::to_string(e.index) + ';';
  }
  for (int k = 1; k < kPixelFaults; ++k) {
    text += std::to_string(s.report.CountPixels(static_cast<PixelFault>(k))) + ' ';
  }
  return text;
}

TEST(ScreeningTest, AConstantAndAScaleChangeNoFinding) {
  Capture capture(80);
  capture.StepFrom(34, 0.3, 0.15);
  capture.StepFrom(60, 0.0, 0.2);
  capture.Expose();
  for (std::size_t n = 0; n < 80; ++n) {
    capture.frames_k[n](20, 30) = 312;
    capture.frames_k[n](80, 90) += n % 5 == 0 ? 2.0F : 0.0F;
    capture.frames_k[n](81, 20) += 0.02F * static_cast<float>(n);
  }
  capture.Repeat(30, 4);
  capture.Repeat(50, 1);
  const Screening plain = capture.Screen();
  EXPECT_EQ(Places(plain),
            "freeze 30 4;doubled 50 1;jump 60 0;frozen 30;frozen 31;frozen 32;"
            "frozen 33;doubled 50;0 1 1 1 0 0 ");
  for (Image& f : capture.frames_k) f += 64.0F;  // Exact in single precision but for a few bits.
  const Screening raised = capture.Screen();
  EXPECT_EQ(Places(raised), Places(plain));
  EXPECT_NEAR(raised.noise_k, plain.noise_k, 1e-3 * plain.noise_k);
  for (Image& f : capture.frames_k) f = (f - 300) * 4;
  const Screening scaled = capture.Screen();
  EXPECT_EQ(Places(scaled), Places(plain));
  EXPECT_NEAR(scaled.noise_k, 4 * plain.noise_k, 4e-3 * plain.noise_k);
  EXPECT_NEAR(scaled.report.events[0].step_k, 4 * plain.report.events[0].step_k, 0.01);
}

TEST(ScreeningTest, NoiseOfColumnsAndRows) {
  Capture capture(100, 0.0);
  std::normal_distribution<float> normal(0, 1);
  for (Image& f : capture.frames_k) {
    for (int c = 0; c < f.cols; ++c) f.col(c) += 0.02F * normal(capture.random());
    for (int r = 0; r < f.rows; ++r) f.row(r) += 0.01F * normal(capture.random());
  }
  capture.Expose();
  const FrameNoise noise = capture.Screen().report.noise;
  EXPECT_NEAR(noise.column_k, 0.02, 0.001);
  EXPECT_NEAR(noise.row_k, 0.01, 0.001);
  // Counts of 0.01 K add a variance of a twelfth of their square.
  EXPECT_NEAR(noise.white_k, kNoise_k, 0.001);
}

TEST(ScreeningTest, NoNoiseOfColumnsWhereThereIsNone) {
  for (unsigned seed = 1; seed <= 5; ++seed) {
    Capture capture(60, 0.0, seed);
    capture.Expose();
    const FrameNoise noise = capture.Screen().report.noise;
    // The noise of a column's mean is 0.0046 K; what is lost in its scatter is 0.
    EXPECT_LT(noise.column_k, 0.002) << seed;
    EXPECT_LT(noise.row_k, 0.002) << seed;
    EXPECT_NEAR(noise.white_k, kNoise_k, 0.001) << seed;
  }
}

}  // namespace
}  // namespace ohmglow
