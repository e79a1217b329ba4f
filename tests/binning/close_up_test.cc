// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <opencv2/imgproc.hpp>
#include <random>

#include "base/larger_pixels.h"
#include "ohmglow/locate.h"
#include "support/plate_film.h"

namespace ohmglow {
namespace {

using testing::Steps;

constexpr int kCloser = 3;  // Pixels of the film for one of the simulator's cells of 0.5 mm.
const cv::Size kCells(96, 72);
const Steps kSteps = {{6, 1.0}, {18, 2.0}, {32, 0.0}};
constexpr int kNumFrames = 160;
constexpr double kFrameS = 0.25;

// The board of rank/locate_test from nearer: faint heat over many noisy pixels.
Case CloseUp(double power_w, cv::Point cell, bool far) {
  Stack stack = testing::StillStack(kCells, kNumFrames, 1, kFrameS, 0);
  testing::PlateSource source;
  source.power_w = power_w;
  source.center_px = cell;
  source.far = far;
  testing::AddPlate(source, kSteps, stack);
  for (Image& frame : stack.bins_k) {
    Image close;
    cv::resize(frame, close, {}, kCloser, kCloser, cv::INTER_CUBIC);
    for (int y = 0; y < close.rows; ++y) {
      for (int x = 0; x < close.cols; ++x) {
        close(y, x) += static_cast<float>(296 + 0.6 * std::sin(0.15 * x) * std::cos(0.13 * y) +
                                          0.4 * std::sin(0.04 * x - 0.17 * y));
      }
    }
    frame = close;
  }
  std::mt19937 random(31);
  testing::AddNoise(random, 0.05, stack);
  Case job;
  for (int i = 0; i < kNumFrames; ++i) job.frame_times_s.push_back(kFrameS * i);
  job.frames = std::make_shared<MemoryFrames>(std::move(stack.bins_k));
  job.supply = testing::StepLog(kSteps, 40);
  job.mm_per_pixel = 0.5 / kCloser;
  return job;
}

// Heat from below is as wide as 40 of these pixels, and less than a tenth of one's noise.
TEST(CloseUp, FindsWhatSinglePixelsHide) {
  Case job = CloseUp(0.005, {61, 30}, true);
  const Point truth = FromBinned({61, 30}, kCloser);
  job.binning = 3;
  const LocateResult together = Locate(job, {});
  ASSERT_FALSE(together.candidates.empty());
  const Candidate& first = together.candidates.front();
  EXPECT_GE(first.confidence, kFaultConfidence);
  EXPECT_LT(cv::norm(first.frame_px - truth), 12);  // 2 mm
  EXPECT_EQ(together.frame_size_px, cv::Size(288, 216));
  EXPECT_EQ(together.response_k.size(), cv::Size(288, 216));
  EXPECT_DOUBLE_EQ(together.mm_per_pixel, job.mm_per_pixel);
  EXPECT_NEAR(together.noise_per_frame_k, 0.05 * job.emissivity, 0.005);
  job.binning = 1;
  const LocateResult single = Locate(job, {});
  const double alone = single.candidates.empty() ? 0 : single.candidates.front().snr;
  EXPECT_GT(first.snr, 3 * alone);
}

}  // namespace
}  // namespace ohmglow
