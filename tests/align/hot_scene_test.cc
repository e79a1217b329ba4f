// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <vector>

#include "align/synthetic.h"
#include "ohmglow/align/alignment.h"
#include "ohmglow/input/frame_source.h"

namespace ohmglow {
namespace {

const cv::Size kSize(120, 96);
constexpr std::size_t kFrames = 80;
constexpr int kSwitchedOn = 16;

Similarity Sway(int n) {
  const double t = 0.15 * n;
  return {1.2 * std::sin(t), 0.9 * std::sin(0.7 * t), 0.1 * std::sin(0.5 * t), 1};
}

// Heat that comes out ragged, as patchy copper lets it: rises over the hottest place.
struct Outlet {
  Point at_px;
  double size_px, share;
};
constexpr std::size_t kOutlets = 5;

std::array<Outlet, kOutlets> Outlets(std::mt19937& random) {
  std::uniform_real_distribution<double> unit(0, 1);
  std::array<Outlet, kOutlets> outlets;
  for (Outlet& outlet : outlets) {
    outlet = {{40 + 40 * unit(random), 30 + 36 * unit(random)}, 2 + 5 * unit(random), unit(random)};
  }
  outlets.front().share = 1;
  return outlets;
}

// A swaying camera, and heat whose halos widen as they grow.
std::vector<Image> HotCapture(double most_k, unsigned seed) {
  const testing::AnalyticScene scene(kSize, seed);
  std::mt19937 random(seed);
  const auto outlets = Outlets(random);
  std::vector<Image> frames;
  for (int n = 0; n < static_cast<int>(kFrames); ++n) {
    Image frame = scene.Render(Sway(n));
    const double grown = n < kSwitchedOn ? 0 : 1 - std::exp(-(n - kSwitchedOn) / 20.0);
    for (const Outlet& outlet : outlets) {
      const Point at = Sway(n).Apply(outlet.at_px, kSize);
      const double width = outlet.size_px * (1 + grown);
      for (int r = 0; r < kSize.height; ++r) {
        for (int c = 0; c < kSize.width; ++c) {
          const Point off = Point(c, r) - at;
          frame(r, c) += static_cast<float>(most_k * outlet.share * grown *
                                            std::exp(-std::sqrt(off.ddot(off) + 1) / width));
        }
      }
    }
    testing::AddNoise(random, 0.05, frame);
    frames.push_back(frame);
  }
  return frames;
}

class HotScene : public ::testing::TestWithParam<double> {};
INSTANTIATE_TEST_SUITE_P(Kelvin, HotScene, ::testing::Values(0.0, 10.0, 100.0));

TEST_P(HotScene, DoesNotMisleadTheMotion) {
  for (const unsigned seed : {9U, 10U, 11U}) {
    SCOPED_TRACE(seed);
    MemoryFrames source(HotCapture(GetParam(), seed));
    const Alignment alignment = Align(source, {});
    std::vector<double> errors;
    for (std::size_t n = 0; n < kFrames; ++n) {
      const FrameState& frame = alignment.frames[n];
      if (!frame.used) continue;
      const Similarity truth = Sway(static_cast<int>(n)).After(Sway(alignment.reference).Inverse());
      errors.push_back(testing::MotionDistance(frame.frame_from_reference, truth, kSize));
    }
    std::sort(errors.begin(), errors.end());
    ASSERT_EQ(errors.size(), kFrames);
    EXPECT_LT(errors[kFrames / 2], 0.12);
    EXPECT_LT(errors[kFrames * 95 / 100], 0.2);
  }
}

}  // namespace
}  // namespace ohmglow
