// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <string>

#include "align/synthetic.h"
#include "ohmglow/align/alignment.h"
#include "ohmglow/base/error.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using testing::AddNoise;
using testing::AnalyticScene;
using testing::MotionDistance;

const cv::Size kSize(120, 96);
constexpr double kNoise = 0.05;
constexpr int kFrames = 80;

Similarity Sway(int n) {
  const double t = 0.15 * n;
  return {1.2 * std::sin(t),
          0.9 * std::sin(0.7 * t + 1) - 0.9 * std::sin(1.0),
          0.1 * std::sin(0.5 * t),
          1};
}

// A capture of a swaying camera with column and pixel pattern.
std::vector<Image> Capture(int count, double texture = 1) {
  const AnalyticScene scene(kSize, 9);
  std::mt19937 random(21);
  Image pattern(kSize, 0.0F);
  AddNoise(random, 0.04, pattern);
  std::normal_distribution<float> column(0, 0.05F);
  for (int c = 0; c < kSize.width; ++c) pattern.col(c) += column(random);
  std::vector<Image> frames;
  for (int n = 0; n < count; ++n) {
    Image frame = scene.Render(Sway(n));
    frame = Image(300 + texture * (frame - 300));
    frame += pattern;
    AddNoise(random, kNoise, frame);
    frames.push_back(frame);
  }
  return frames;
}

Alignment AlignFrames(std::vector<Image> frames, const AlignOptions& options = {}) {
  MemoryFrames source(std::move(frames));
  return Align(source, options);
}

std::vector<double> Errors(const Alignment& alignment, const Similarity& reference) {
  std::vector<double> errors;
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    if (!alignment.frames[n].used) continue;
    const Similarity truth = Sway(static_cast<int>(n)).After(reference.Inverse());
    errors.push_back(MotionDistance(alignment.frames[n].frame_from_reference, truth, kSize));
  }
  std::sort(errors.begin(), errors.end());
  return errors;
}

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

std::vector<Image> Noisy(const std::vector<Image>& frames) {
  std::mt19937 random(17);
  std::vector<Image> noisy;
  for (const Image& f : frames) {
    noisy.push_back(f.clone());
    AddNoise(random, kNoise, noisy.back());
  }
  return noisy;
}

Similarity Wave(int n, double shift_px, double rotation_deg, double scale) {
  const double t = 0.3 * n;
  return {shift_px * std::sin(t),
          shift_px * std::sin(0.7 * t),
          rotation_deg * std::sin(1.3 * t),
          1 + scale * std::sin(0.9 * t)};
}

// The motion chosen is the motion made; a freedom that nobody used stays shut.
TEST(Align, ChoosesTheModelOfMotionByThePicture) {
  const AnalyticScene scene(kSize, 5);
  const auto model = [&](const std::function<PlaneMap(int)>& motion) {
    std::vector<Image> frames;
    for (int n = 0; n < 48; ++n) frames.push_back(scene.RenderMapped(motion(n)));
    return AlignFrames(Noisy(frames));
  };
  const auto similar = [&](double shift_px, double rotation_deg, double scale) {
    return model([=](int n) { return ToPlaneMap(Wave(n, shift_px, rotation_deg, scale), kSize); });
  };
  EXPECT_EQ(similar(0, 0, 0).motion_model, MotionModel::kShift);
  EXPECT_EQ(similar(0.8, 0, 0).motion_model, MotionModel::kShift);
  EXPECT_EQ(similar(0.8, 0.4, 0).motion_model, MotionModel::kRigid);
  EXPECT_EQ(similar(0.8, 0.4, 0.006).motion_model, MotionModel::kSimilarity);
  const auto tilted = [](int n) {
    const double bend = 1.5e-4 * std::sin(0.3 * n);
    PlaneMap map = ToPlaneMap(Wave(n, 0.8, 0.4, 0.006), kSize);
    map.matrix(2, 0) = bend;
    map.matrix(2, 1) = -0.7 * bend;
    return map;
  };
  const Alignment alignment = model(tilted);
  EXPECT_EQ(alignment.motion_model, MotionModel::kProjective);
  double square = 0;
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    const PlaneMap found = MapOf(alignment.frames[n], kSize);
    for (const Point& p : {Point(10, 10), Point(110, 10), Point(60, 48), Point(10, 86)}) {
      const PlaneMap truth{tilted(static_cast<int>(n)).matrix * tilted(0).Inverse().matrix};
      const Point d = found.Apply(p) - truth.Apply(p);
      square += d.dot(d) / (4.0 * static_cast<double>(alignment.frames.size()));
    }
  }
  EXPECT_LT(std::sqrt(square), 0.15);  // Mostly corners; the bend alone moves them 1 px rms.
}

// Long edges along rows and columns: what a plain mean of a row takes of them
// stays level when the scene turns, and holds every rotation back.
TEST(Align, IsNotHeldBackByEdgesAlongRows) {
  const AnalyticScene scene(kSize, 9);
  std::vector<Image> frames;
  for (int n = 0; n < 48; ++n) {
    const Similarity motion{0, 0, 0.5 * std::sin(0.3 * n), 1};
    Image frame = scene.Render(motion);
    frame = Image(300 + 0.2 * (frame - 300));
    for (int r = 0; r < kSize.height; ++r) {
      for (int c = 0; c < kSize.width; ++c) {
        const Point p = motion.Inverse().Apply(Point(c, r), kSize);
        frame(r, c) += static_cast<float>(std::tanh((p.y - 25) / 1.2) * (p.x < 60 ? 1 : 0.4) +
                                          std::tanh((p.x - 30) / 1.2));
      }
    }
    frames.push_back(frame);
  }
  const Alignment alignment = AlignFrames(Noisy(frames));
  double found = 0, made = 0;
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    const double truth_deg = 0.5 * std::sin(0.3 * static_cast<double>(n));
    found += alignment.frames[n].frame_from_reference.rotation_deg * truth_deg;
    made += truth_deg * truth_deg;
  }
  EXPECT_NEAR(found / made, 1, 0.1);
}

// A part that draws power by itself comes on and outshines the texture: its
// frames show the same board.
TEST(Align, KeepsFramesInWhichOnePartWarmsByKelvins) {
  const AnalyticScene scene(kSize, 11);
  std::vector<Image> frames;
  for (int n = 0; n < 60; ++n) {
    Image frame(300 + 0.4 * (scene.Render(Similarity{}) - 300));
    const double rise_k = n < 10 ? 0 : 12 * (1 - std::exp(-(n - 10) / 5.0));
    for (int r = 0; r < kSize.height; ++r) {
      for (int c = 0; c < kSize.width; ++c) {
        const double r2 = (r - 30.0) * (r - 30.0) + (c - 40.0) * (c - 40.0);
        frame(r, c) += static_cast<float>(rise_k * std::exp(-0.5 * r2 / 4));
      }
    }
    frames.push_back(frame);
  }
  const Alignment alignment = AlignFrames(Noisy(frames));
  // A frame or two around the sudden change may count as blurred.
  int used = 0;
  for (const FrameState& frame : alignment.frames) used += frame.used ? 1 : 0;
  EXPECT_GE(used, 58);
  EXPECT_LT(alignment.largest_shift_px, 0.3);
}

TEST(Align, DropsAFrameThatFastMotionBlurred) {
  const AnalyticScene scene(kSize, 9);
  const auto at = [](double t) {
    return Similarity{6 * (std::clamp(t, 20.0, 22.0) - 20), 0, 0, 1};
  };
  std::vector<Image> frames;
  for (int n = 0; n < 50; ++n) {
    Image frame(kSize, 0.0F);
    for (int k = -4; k <= 4; ++k) frame += scene.Render(at(n + 0.1 * k)) / 9;
    frames.push_back(frame);
  }
  const Alignment alignment = AlignFrames(Noisy(frames));
  EXPECT_FALSE(alignment.frames[21].used);
  EXPECT_TRUE(testing::Says(alignment.frames[21].reason, "blurred by fast motion"));
  EXPECT_GE(alignment.num_blurred, 1);
  EXPECT_LE(alignment.num_blurred, 3);
  EXPECT_TRUE(alignment.frames[10].used);
  EXPECT_NEAR(alignment.frames[40].frame_from_reference.dx_px, 12, 0.05);
}

// The camera turned by 90 degrees, the scene elsewhere in the picture, turned
// and closer, everything warmer by a factor: the motion is the same one.
TEST(Align, GivesTheTurnedAnswerForATurnedInput) {
  std::vector<Image> frames = Capture(40);
  const Alignment straight = AlignFrames(frames);
  for (Image& f : frames) f = Image(2 * f.t() - 300);
  const Alignment turned = AlignFrames(frames);
  for (std::size_t n = 0; n < frames.size(); ++n) {
    const Similarity& a = straight.frames[n].frame_from_reference;
    const Similarity& b = turned.frames[n].frame_from_reference;
    const Similarity swapped{b.dy_px, b.dx_px, -b.rotation_deg, b.scale};
    EXPECT_LT(MotionDistance(a, swapped, kSize), 0.02) << n;
  }
}

TEST(Align, FindsTheSameMotionWhereverTheSceneLies) {
  const AnalyticScene scene(kSize, 9);
  const auto capture = [&](const Similarity& place) {
    std::vector<Image> frames;
    for (int n = 0; n < 40; ++n) frames.push_back(scene.Render(Wave(n, 1, 0, 0).After(place)));
    return AlignFrames(Noisy(frames));
  };
  const Alignment here = capture({});
  const Alignment there = capture({5.3, -3.6, 12, 1.15});
  std::vector<double> apart;
  for (std::size_t n = 0; n < here.frames.size(); ++n) {
    apart.push_back(MotionDistance(
        here.frames[n].frame_from_reference, there.frames[n].frame_from_reference, kSize));
  }
  std::sort(apart.begin(), apart.end());
  EXPECT_LT(apart[apart.size() / 2], 0.07);
  EXPECT_LT(apart.back(), 0.2);
}

TEST(Align, RecoversAnyBumpOfTwentyPixelsAndThreeDegrees) {
  const AnalyticScene scene(kSize, 12);
  std::mt19937 random(31);
  std::uniform_real_distribution<double> angle(0, 6.2831853), turn(-3, 3);
  for (const double texture : {1.0, 0.25}) {
    for (int trial = 0; trial < 4; ++trial) {
      const double a = angle(random);
      const Similarity bump{20 * std::cos(a), 20 * std::sin(a), turn(random), 1};
      std::vector<Image> frames;
      for (int n = 0; n < 36; ++n) {
        const Image frame = scene.Render(n < 18 ? Similarity{} : bump);
        frames.push_back(Image(300 + texture * (frame - 300)));
      }
      const Alignment alignment = AlignFrames(Noisy(frames));
      const double error = MotionDistance(alignment.frames[30].frame_from_reference, bump, kSize);
      // The weak one: a quarter of a full frame, bound 0.1 px for white noise alone.
      EXPECT_LT(error, texture < 1 ? 0.3 : 0.1)
          << texture << " " << bump.dx_px << " " << bump.rotation_deg;
    }
  }
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
