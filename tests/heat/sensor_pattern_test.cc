// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "heat/stack.h"
#include "support/scene.h"

namespace ohmglow {
namespace {

const cv::Size kSize(64, 48);
const cv::Rect kInner(12, 8, 40, 32);

// Known at every place, so that motion is never made by interpolation.
double Scene(Point p) {
  return 300 + std::sin(0.31 * p.x + 0.2) * std::cos(0.27 * p.y) +
         0.5 * std::sin(0.11 * p.x - 0.35 * p.y);
}

Image ColumnPattern() {
  std::mt19937 random(5);
  std::normal_distribution<float> normal(0, 0.15F);
  Image pattern(kSize);
  for (int x = 0; x < pattern.cols; ++x) pattern.col(x) = normal(random);
  return Image(pattern - cv::mean(pattern)[0]);
}

struct Capture {
  Stack stack;
  std::vector<Image> clean_k;  // The bins without the pattern.
};

// Frames of a moving scene behind a pattern that stays with the sensor, in the
// reference view.
Capture Film(const Image& pattern, double swing_px) {
  const int num_frames = 96;
  std::vector<Image> with;
  std::vector<Image> without;
  std::vector<double> times_s;
  Alignment alignment = testing::StillAlignment(kSize, num_frames);
  for (int i = 0; i < num_frames; ++i) {
    const Similarity pose{swing_px * std::sin(0.21 * i), 0.6 * swing_px * std::sin(0.13 * i), 0, 1};
    alignment.frames[static_cast<std::size_t>(i)].frame_from_reference = pose;
    Image frame(kSize);
    for (int y = 0; y < frame.rows; ++y) {
      for (int x = 0; x < frame.cols; ++x) {
        frame(y, x) = static_cast<float>(Scene(pose.Inverse().Apply(Point(x, y), kSize)));
      }
    }
    without.push_back(frame);
    with.push_back(Image(frame + pattern));
    times_s.push_back(0.125 * i);
  }
  HeatOptions options;
  options.max_bins = 48;
  MemoryFrames dirty(std::move(with));
  MemoryFrames clean(std::move(without));
  return {BuildStack(dirty, times_s, alignment, options),
          BuildStack(clean, times_s, alignment, options).bins_k};
}

// Rms over bins and the inner view of what wanders: the error of each bin
// without its mean over time, which the offset of every pixel takes up.
double Stripes(const Stack& stack, const std::vector<Image>& clean_k) {
  Image mean(kSize, 0.0F);
  std::vector<Image> errors;
  for (std::size_t b = 0; b < clean_k.size(); ++b) {
    errors.push_back(Image(stack.bins_k[b] - clean_k[b]));
    mean += errors.back() * (1.0 / static_cast<double>(clean_k.size()));
  }
  double sum = 0;
  for (const Image& error : errors) {
    const Image rest(error(kInner) - mean(kInner));
    sum += std::pow(cv::norm(rest - cv::mean(rest)[0]), 2);
  }
  return std::sqrt(sum / static_cast<double>(errors.size()) / kInner.area());
}

TEST(RemoveSensorPattern, TakesTheStripesOfAMovingSceneOut) {
  const Image truth = ColumnPattern();
  Capture capture = Film(truth, 3);
  const double before = Stripes(capture.stack, capture.clean_k);
  const Image pattern = RemoveSensorPattern(capture.stack, {});
  const double after = Stripes(capture.stack, capture.clean_k);
  EXPECT_GT(before, 0.05);
  EXPECT_LT(after, before / 5);
  // And it is the pattern, in sensor coordinates, that was found.
  Image found = pattern(kInner).clone();
  Image expected = truth(kInner).clone();
  found -= cv::mean(found)[0];
  expected -= cv::mean(expected)[0];
  EXPECT_GT(found.dot(expected) / (cv::norm(found) * cv::norm(expected)), 0.95);
}

TEST(RemoveSensorPattern, LeavesAStillCaptureAlone) {
  Capture capture = Film(ColumnPattern(), 0.01);
  std::vector<Image> before;
  for (const Image& bin : capture.stack.bins_k) before.push_back(bin.clone());
  const Image pattern = RemoveSensorPattern(capture.stack, {});
  EXPECT_EQ(cv::countNonZero(pattern), 0);
  for (std::size_t b = 0; b < before.size(); ++b) {
    EXPECT_EQ(cv::norm(before[b], capture.stack.bins_k[b], cv::NORM_INF), 0);
  }
}

TEST(RemoveSensorPattern, InventsNoneWhereThereIsNone) {
  Capture capture = Film(Image(kSize, 0.0F), 3);
  static_cast<void>(RemoveSensorPattern(capture.stack, {}));
  // What the interpolation of a scene of 1.5 K leaves.
  EXPECT_LT(Stripes(capture.stack, capture.clean_k), 0.01);
}

TEST(RemoveSensorPattern, IsLeftInWithoutIterations) {
  Capture capture = Film(ColumnPattern(), 3);
  HeatOptions off;
  off.pattern_iterations = 0;
  EXPECT_EQ(cv::countNonZero(RemoveSensorPattern(capture.stack, off)), 0);
}

}  // namespace
}  // namespace ohmglow
