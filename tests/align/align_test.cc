// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "align/align_capture.h"
#include "align/synthetic.h"
#include "ohmglow/align/alignment.h"
#include "ohmglow/base/error.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using testing::AddNoise;
using testing::AlignFrames;
using testing::AnalyticScene;
using testing::Capture;
using testing::Errors;
using testing::kFrames;
using testing::kNoise;
using testing::kSize;
using testing::MotionDistance;
using testing::Sway;

TEST(Align, RecoversASwayDespiteTheSensorPattern) {
  const Alignment alignment = AlignFrames(Capture(kFrames));
  const auto errors = Errors(alignment, Sway(0));
  ASSERT_EQ(errors.size(), static_cast<std::size_t>(kFrames));
  // A quarter of the pixels of a full frame, a pattern as strong as the noise.
  EXPECT_LT(errors[errors.size() / 2], 0.08);
  EXPECT_LT(errors[errors.size() * 95 / 100], 0.12);
  EXPECT_NEAR(alignment.noise_k, kNoise, 0.1 * kNoise);
  EXPECT_EQ(alignment.num_segments, 1);
  EXPECT_GT(alignment.largest_shift_px, 1.5);
  EXPECT_LT(alignment.median_residual_px, 0.2);
}

// The pattern is as strong as the texture: a fit to what stands still in the
// mean of the frames sees but a part of the motion.
TEST(Align, IsNotDraggedToRestByThePatternWhereTheTextureIsWeak) {
  const Alignment alignment = AlignFrames(Capture(kFrames, 0.3));
  double estimated = 0, moved = 0, error = 0, stated = 0;
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    const FrameState& f = alignment.frames[n];
    if (!f.used) continue;
    const Similarity truth = Sway(static_cast<int>(n)).After(Sway(0).Inverse());
    estimated += f.frame_from_reference.dx_px * truth.dx_px;
    moved += truth.dx_px * truth.dx_px;
    error += std::pow(MotionDistance(f.frame_from_reference, truth, kSize), 2);
    stated += f.residual_px * f.residual_px;
  }
  EXPECT_NEAR(estimated / moved, 1, 0.1);  // 0.4 against the mean itself.
  EXPECT_LT(std::sqrt(error / stated), 2);
}

TEST(Align, GivesTheSameAnswerTwice) {
  const Alignment a = AlignFrames(Capture(30));
  const Alignment b = AlignFrames(Capture(30));
  for (std::size_t n = 0; n < 30; ++n) {
    EXPECT_EQ(a.frames[n].frame_from_reference.dx_px, b.frames[n].frame_from_reference.dx_px);
  }
}

TEST(Align, IgnoresAnOffset) {
  std::vector<Image> frames = Capture(40);
  const Alignment a = AlignFrames(frames);
  for (Image& f : frames) f = Image(f + 7.0);
  const Alignment b = AlignFrames(frames);
  for (std::size_t n = 0; n < frames.size(); ++n) {
    EXPECT_LT(
        MotionDistance(a.frames[n].frame_from_reference, b.frames[n].frame_from_reference, kSize),
        0.01);
  }
}

TEST(Align, DropsShutterRepeatsAndOpensASegment) {
  std::vector<Image> frames = Capture(kFrames);
  for (std::size_t n = 30; n < 33; ++n) frames[n] = frames[29].clone();
  for (std::size_t n = 33; n < frames.size(); ++n) frames[n] += 0.8;
  const Alignment alignment = AlignFrames(frames);
  EXPECT_EQ(alignment.num_segments, 2);
  for (std::size_t n = 0; n < frames.size(); ++n) {
    EXPECT_EQ(alignment.frames[n].used, n < 30 || n > 32) << n;
    if (alignment.frames[n].used) {
      EXPECT_EQ(alignment.frames[n].segment, n < 30 ? 0 : 1) << n;
    }
  }
  EXPECT_EQ(Say(alignment.frames[31].reason),
            "the shutter was closed: repeats frame 29 bit for bit");
}

TEST(Align, SeesAJumpWithoutRepeatsAndADoubledFrameWithoutJump) {
  std::vector<Image> frames = Capture(kFrames);
  frames[20] = frames[19].clone();
  for (std::size_t n = 50; n < frames.size(); ++n) {
    for (int c = 0; c < kSize.width; ++c) {  // No change of the mean: a tilt.
      frames[n].col(c) += 0.6 * (2.0 * c / (kSize.width - 1) - 1);
    }
  }
  const Alignment alignment = AlignFrames(frames);
  EXPECT_EQ(alignment.num_segments, 2);
  EXPECT_FALSE(alignment.frames[20].used);
  EXPECT_EQ(alignment.frames[49].segment, 0);
  EXPECT_EQ(alignment.frames[50].segment, 1);
  EXPECT_TRUE(alignment.frames[50].used);
}

TEST(Align, MasksBadPixelsAndKeepsTheGoodOnes) {
  std::vector<Image> frames = Capture(kFrames);
  std::mt19937 random(2);
  std::normal_distribution<float> wild(0, 0.6F);
  for (std::size_t n = 0; n < frames.size(); ++n) {
    frames[n](40, 30) = 301.0F;                      // Stuck.
    frames[n](0, 0) = 299.0F;                        // Stuck, in the corner.
    frames[n](60, 80) += wild(random);               // Noisy.
    frames[n](20, 100) += n % 9 == 0 ? 2.0F : 0.0F;  // Blinking.
    frames[n](70, 20) += 4.0F;                       // Hot, otherwise well.
  }
  const Alignment alignment = AlignFrames(frames);
  for (const auto& [r, c] : {std::pair{40, 30}, {0, 0}, {60, 80}, {20, 100}, {70, 20}}) {
    EXPECT_EQ(alignment.good_pixels(r, c), 0) << r << " " << c;
  }
  EXPECT_LE(kSize.area() - cv::countNonZero(alignment.good_pixels), 5 + 1);
}

TEST(Align, SurvivesABumpAndAGrowingHotSpot) {
  const AnalyticScene scene(kSize, 9);
  std::mt19937 random(4);
  const Similarity bump{14, -8, 2.5, 1};
  std::vector<Image> frames;
  for (int n = 0; n < 60; ++n) {
    const Similarity motion = n < 30 ? Similarity{} : bump;
    Image frame = scene.Render(motion);
    const Point spot = motion.Apply({60, 50}, kSize);
    for (int r = 0; r < kSize.height; ++r) {
      for (int c = 0; c < kSize.width; ++c) {
        const double q = std::pow(c - spot.x, 2) + std::pow(r - spot.y, 2);
        frame(r, c) += static_cast<float>(0.1 * n * std::exp(-q / 18));
      }
    }
    AddNoise(random, kNoise, frame);
    frames.push_back(frame);
  }
  const Alignment alignment = AlignFrames(frames);
  for (std::size_t n = 0; n < frames.size(); ++n) {
    ASSERT_TRUE(alignment.frames[n].used) << n;
    const Similarity truth = n < 30 ? Similarity{} : bump;
    EXPECT_LT(MotionDistance(alignment.frames[n].frame_from_reference, truth, kSize), 0.1) << n;
  }
}

TEST(Align, DropsAFrameThatShowsSomethingElse) {
  std::vector<Image> frames = Capture(60);
  std::mt19937 random(8);
  frames[33] = AnalyticScene(kSize, 77).Render({});
  AddNoise(random, kNoise, frames[33]);
  const Alignment alignment = AlignFrames(frames);
  EXPECT_FALSE(alignment.frames[33].used);
  EXPECT_TRUE(testing::Says(alignment.frames[33].reason, "does not match"));
  EXPECT_TRUE(alignment.frames[34].used);
}

TEST(Align, IgnoresSaturatedPixels) {
  std::vector<Image> frames = Capture(kFrames);
  for (std::size_t n = 20; n < frames.size(); ++n) {
    frames[n](cv::Rect(50, 40, 6, 5)) = std::numeric_limits<float>::quiet_NaN();
  }
  const Alignment alignment = AlignFrames(frames);
  const auto errors = Errors(alignment, Sway(0));
  ASSERT_EQ(errors.size(), static_cast<std::size_t>(kFrames));
  EXPECT_LT(errors[errors.size() / 2], 0.08);
  EXPECT_TRUE(cv::checkRange(alignment.pattern_k));
}

TEST(Align, SaysThatAPlainSceneTellsNoMotion) {
  std::mt19937 random(6);
  std::vector<Image> frames;
  for (int n = 0; n < 40; ++n) {
    Image frame(kSize, 300.0F);
    AddNoise(random, kNoise, frame);
    frames.push_back(frame);
  }
  const Alignment alignment = AlignFrames(frames);
  int used = 0;
  for (const FrameState& f : alignment.frames) used += f.used ? 1 : 0;
  EXPECT_EQ(used, 40);
  EXPECT_GT(alignment.median_residual_px, 0.15);
  EXPECT_NEAR(alignment.largest_shift_px, 0, 1e-9);
  EXPECT_EQ(alignment.motion_model, MotionModel::kShift);
  ASSERT_EQ(alignment.remarks.size(), 1U);
  EXPECT_TRUE(testing::Says(alignment.remarks[0], "no texture"));
}

TEST(Align, NeedsTwoFrames) {
  const auto message = [](std::vector<Image> frames) -> std::string {
    try {
      (void)AlignFrames(std::move(frames));
    } catch (const DataError& e) {
      return e.what();
    }
    return "no error";
  };
  EXPECT_NE(message(Capture(1)).find("only 1 of 1 frames can be used"), std::string::npos);
  const Image one = Capture(1).front();
  EXPECT_NE(message({one, one, one}).find("only 1 of 3 frames"), std::string::npos);
  EXPECT_NE(message({Image(10, 10, 300.0F), Image(10, 10, 301.0F)}).find("too small"),
            std::string::npos);
}

TEST(AlignOptions, NamesFieldValueAndRule) {
  const auto message = [](AlignOptions options) -> std::string {
    try {
      options.Validate();
    } catch (const OptionError& e) {
      return e.what();
    }
    return "no error";
  };
  AlignOptions options;
  EXPECT_EQ(message(options), "no error");
  options.max_shift_px = 0;
  EXPECT_EQ(message(options), "AlignOptions::max_shift_px = 0.000000: must be > 0");
  options = {};
  options.reference_frames = 0;
  EXPECT_EQ(message(options), "AlignOptions::reference_frames = 0: must be >= 1");
  options = {};
  options.pattern_iterations = -1;
  EXPECT_EQ(message(options), "AlignOptions::pattern_iterations = -1: must be >= 0");
  options = {};
  options.dead_pixel_sigmas = -2;
  EXPECT_NE(message(options).find("dead_pixel_sigmas"), std::string::npos);
}

TEST(Align, ReportsProgressUpToOne) {
  AlignOptions options;
  double last = 0;
  bool rising = true;
  options.progress = [&](double share) {
    rising = rising && share >= last - 1e-12;
    last = share;
  };
  (void)AlignFrames(Capture(20), options);
  EXPECT_TRUE(rising);
  EXPECT_DOUBLE_EQ(last, 1);
}

}  // namespace
}  // namespace ohmglow
