// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/found.h"

#include <gtest/gtest.h>

#include <cmath>

#include "ohmglow/input/frame_source.h"

namespace ohmglow::desk {
namespace {

constexpr int kWidth = 48;
constexpr int kHeight = 40;
constexpr int kFrames = 160;

// A warm spot that follows one step of current, on a picture with a fixed pattern and noise.
Case WarmSpot() {
  cv::RNG rng(7);
  Image pattern(kHeight, kWidth);
  rng.fill(pattern, cv::RNG::NORMAL, 295, 0.4);
  std::vector<Image> frames;
  Case job;
  job.supply.emplace();
  for (int i = 0; i < kFrames; ++i) {
    const double time_s = i / 8.0;
    const double heat = time_s < 6 ? 0 : 1.2 * (1 - std::exp(-(time_s - 6) / 3));
    Image frame(kHeight, kWidth);
    rng.fill(frame, cv::RNG::NORMAL, 0, 0.04);
    for (int y = 0; y < kHeight; ++y) {
      for (int x = 0; x < kWidth; ++x) {
        const double r2 = std::pow(x - 30, 2) + std::pow(y - 14, 2);
        frame(y, x) += pattern(y, x) + static_cast<float>(heat * std::exp(-r2 / 8));
      }
    }
    frames.push_back(frame);
    job.frame_times_s.push_back(time_s);
    job.supply->time_s.push_back(time_s);
    job.supply->amps_a.push_back(time_s < 6 ? 0 : 1);
    job.supply->volts_v.push_back(std::nan(""));
  }
  job.clock_offset_s = 0;
  job.frames = std::make_shared<MemoryFrames>(std::move(frames));
  return job;
}

TEST(Found, TellsTheSameWithItsCoursesAside) {
  LocateOptions options;
  const Found held(WarmSpot(), options, Hold::kMemory);
  const Found aside(WarmSpot(), options, Hold::kAside);
  int compared = 0;
  for (const Point at : {Point(30, 14), Point(3, 2), Point(47, 39), Point(24.4, 20.6)}) {
    // Twice: what was let go must come back.
    for (int time = 0; time < 2; ++time) {
      const auto a = held.CurveAt(at);
      const auto b = aside.CurveAt(at);
      ASSERT_EQ(a.has_value(), b.has_value());
      if (!a) continue;
      ASSERT_EQ(a->points.size(), b->points.size());
      for (std::size_t i = 0; i < a->points.size(); ++i) {
        EXPECT_EQ(a->points[i].rise_k, b->points[i].rise_k);
        EXPECT_EQ(a->points[i].fit_k, b->points[i].fit_k);
        ++compared;
      }
      EXPECT_EQ(a->snr, b->snr);
    }
  }
  EXPECT_GT(compared, 100);
  const auto warm = aside.CurveAt({30, 14});
  ASSERT_TRUE(warm);
  EXPECT_GT(warm->points.back().rise_k, 0.5);
  for (const std::size_t bin : {std::size_t{0}, held.FilmTimes().size() - 1}) {
    const Image a = held.FilmAt(bin);
    const Image b = aside.FilmAt(bin);
    EXPECT_EQ(cv::norm(a, b, cv::NORM_INF), 0);
  }
}

}  // namespace
}  // namespace ohmglow::desk
