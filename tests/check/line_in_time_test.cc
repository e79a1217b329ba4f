// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "check/line_in_time.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "align/synthetic.h"

namespace ohmglow {
namespace {

const cv::Size kSize(96, 72);

// Standard deviation along time, rms over the places that every frame saw.
double Unrest(const Image& line_k) {
  double sum = 0;
  int places = 0;
  for (int x = 0; x < line_k.cols; ++x) {
    cv::Scalar mean, sd;
    const Image column = line_k.col(x);
    if (std::isnan(cv::sum(column)[0])) continue;
    cv::meanStdDev(column, mean, sd);
    sum += sd[0] * sd[0];
    ++places;
  }
  return std::sqrt(sum / places);
}

struct Followed {
  LineInTime row, column;
};

Followed Follow(double sway_px, int most_frames) {
  const testing::AnalyticScene scene(kSize, 5);
  std::vector<Image> frames;
  Alignment alignment;
  alignment.good_pixels = Mask(kSize, static_cast<unsigned char>(255));
  for (int n = 0; n < 40; ++n) {
    const Similarity motion{sway_px * std::sin(0.7 * n), sway_px * std::cos(0.5 * n), 0, 1};
    frames.emplace_back(scene.Render(motion) + 0.5 * n);  // An offset that wanders is no motion.
    FrameState state;
    state.used = n != 3;
    state.frame_from_reference = motion;
    alignment.frames.push_back(state);
  }
  Followed out;
  const Image picture = scene.Render({});
  const Image no_residual(kSize, 1.0F);
  out.row.line = internal::LineOfMostTexture(picture, no_residual, true);
  out.column.is_row = false;
  out.column.line = internal::LineOfMostTexture(picture, no_residual, false);
  MemoryFrames source(frames);
  internal::FollowLines(source, alignment, most_frames, out.row, out.column);
  return out;
}

TEST(LineInTime, EdgesStandStillOnceRegistered) {
  const Followed lines = Follow(1.5, 100);
  for (const LineInTime* line : {&lines.row, &lines.column}) {
    EXPECT_EQ(line->after_k.rows, 39);
    EXPECT_EQ(line->frames.size(), 39U);
    EXPECT_EQ(line->frames[3], 4);  // Frame 3 is not used.
    EXPECT_GT(Unrest(line->before_k), 0.02);
    // What is left is the linear interpolation and the median of the moving scene.
    EXPECT_LT(Unrest(line->after_k), 0.25 * Unrest(line->before_k));
  }
  EXPECT_EQ(lines.row.before_k.cols, kSize.width);
  EXPECT_EQ(lines.column.before_k.cols, kSize.height);
}

TEST(LineInTime, PlacesThatAFrameDidNotSeeHaveNoValue) {
  const Followed lines = Follow(4, 100);
  EXPECT_TRUE(std::isnan(lines.row.after_k(0, 0)) || std::isnan(lines.row.after_k(4, 0)) ||
              std::isnan(lines.row.after_k(8, 0)));
  EXPECT_FALSE(std::isnan(lines.row.after_k(0, kSize.width / 2)));
}

TEST(LineInTime, TakesNoMoreFramesThanAskedFor) {
  EXPECT_LE(Follow(1, 10).row.after_k.rows, 10);
  EXPECT_GE(Follow(1, 10).row.after_k.rows, 9);
}

TEST(LineInTime, FindsTheLineWithTheMostTextureAlongItself) {
  Image picture(60, 80, 300.0F);
  picture.row(22).colRange(10, 70).setTo(0);
  for (int x = 10; x < 70; x += 4) picture(22, x) = 600;
  Image residual(picture.size(), 0.01F);
  EXPECT_EQ(internal::LineOfMostTexture(picture, residual, true), 22);
  EXPECT_EQ(internal::LineOfMostTexture(Image(picture.t()), Image(residual.t()), false), 22);
  // Edges of what warms are not the static picture's.
  for (int x = 10; x < 70; x += 8) picture(40, x) = 500;
  residual.rowRange(20, 25).setTo(1);
  EXPECT_EQ(internal::LineOfMostTexture(picture, residual, true), 40);
}

}  // namespace
}  // namespace ohmglow
