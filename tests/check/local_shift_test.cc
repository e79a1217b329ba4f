// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The leftover shift against shifts put in on purpose, in a scene known everywhere.
#include "check/local_shift.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "align/synthetic.h"

namespace ohmglow {
namespace {

using internal::FineDetail;
using internal::MeasureLocalShifts;

constexpr int kBins = 40;
constexpr double kNoiseK = 0.02;
const cv::Size kSize(120, 96);

// Bins whose frames were left `leftover(b)` off.
template <typename Leftover>
Stack MakeStack(Leftover&& leftover, double contrast = 1) {
  const testing::AnalyticScene scene(kSize, 3);
  std::mt19937 random(7);
  Stack stack;
  stack.seen = Mask(kSize, static_cast<unsigned char>(255));
  for (int b = 0; b < kBins; ++b) {
    Image bin = scene.Render(leftover(b));
    bin = 300 + contrast * (bin - 300);
    testing::AddNoise(random, kNoiseK, bin);
    stack.bins_k.push_back(bin);
    stack.num_frames.push_back(2);
    stack.segment.push_back(b < kBins / 2 ? 0 : 1);
    stack.time_s.push_back(b);
  }
  return stack;
}

std::vector<LocalShift> Measure(const Stack& stack) {
  Image mean(kSize, 0.0F);
  for (const Image& bin : stack.bins_k) mean += bin;
  mean /= kBins;
  return MeasureLocalShifts(FineDetail(stack), stack, mean, 3, 2);
}

TEST(LocalShift, TellsAShiftThatWasPutIn) {
  // Alternating by 0.2 px either way along x: rms 0.2 within each segment.
  const auto tiles = Measure(MakeStack([](int b) {
    return Similarity{b % 2 ? 0.2 : -0.2, 0, 0, 1};
  }));
  ASSERT_EQ(tiles.size(), 6U);
  for (const LocalShift& tile : tiles) {
    ASSERT_TRUE(tile.leftover_px.has_value()) << tile.tile_px;
    EXPECT_NEAR(*tile.leftover_px, 0.2, 0.03) << tile.tile_px;
  }
}

TEST(LocalShift, IsNearlyNothingWhereFramesLieOnEachOther) {
  for (const LocalShift& tile : Measure(MakeStack([](int) { return Similarity{}; }))) {
    ASSERT_TRUE(tile.leftover_px.has_value());
    EXPECT_LT(*tile.leftover_px, 0.6 * tile.sigma_px) << tile.tile_px;
  }
}

TEST(LocalShift, ShowsATurnAtTheRimMoreThanInTheMiddle) {
  const Stack stack = MakeStack([](int b) { return Similarity{0, 0, b % 2 ? 0.3 : -0.3, 1}; });
  const auto tiles = Measure(stack);
  // The corners' tiles lie 47 px off the centre on average, 0.3 deg is 0.25 px there; the
  // middle column's lie 24 px off.
  ASSERT_TRUE(tiles[0].leftover_px && tiles[1].leftover_px);
  EXPECT_GT(*tiles[0].leftover_px, 1.3 * *tiles[1].leftover_px);
  EXPECT_NEAR(*tiles[0].leftover_px, 0.25, 0.06);
}

TEST(LocalShift, SaysNothingWithoutTexture) {
  const Stack stack = MakeStack([](int) { return Similarity{}; }, 0.01);
  for (const LocalShift& tile : Measure(stack)) {
    EXPECT_FALSE(tile.leftover_px.has_value()) << tile.tile_px;
  }
}

TEST(LocalShift, AGrowingSpotIsNoShift) {
  Stack stack = MakeStack([](int) { return Similarity{}; });
  for (int b = 0; b < kBins; ++b) {
    for (int y = -6; y <= 6; ++y) {
      for (int x = -6; x <= 6; ++x) {
        stack.bins_k[static_cast<std::size_t>(b)](40 + y, 60 + x) +=
            static_cast<float>(0.02 * b * std::exp(-(x * x + y * y) / 8.0));
      }
    }
  }
  for (const LocalShift& tile : Measure(stack)) {
    ASSERT_TRUE(tile.leftover_px.has_value());
    EXPECT_LT(*tile.leftover_px, 0.08) << tile.tile_px;
  }
}

TEST(FineDetail, IsNoiseWhereNothingChanges) {
  const Stack stack = MakeStack([](int) { return Similarity{}; });
  const Image rms = internal::RmsDetail(FineDetail(stack), stack);
  // The box and the mean over each segment of 20 bins take 1/121 and 1/20 of the variance.
  const double expected = kNoiseK * std::sqrt((1 - 1 / 121.0) * (1 - 1 / 20.0));
  EXPECT_NEAR(cv::mean(rms)[0], expected, 0.02 * kNoiseK);
}

}  // namespace
}  // namespace ohmglow
