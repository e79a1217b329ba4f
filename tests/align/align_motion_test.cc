// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

#include "align/align_capture.h"
#include "align/synthetic.h"
#include "ohmglow/align/alignment.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using testing::AddNoise;
using testing::AlignFrames;
using testing::AnalyticScene;
using testing::Capture;
using testing::kNoise;
using testing::kSize;
using testing::MotionDistance;

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

}  // namespace
}  // namespace ohmglow
