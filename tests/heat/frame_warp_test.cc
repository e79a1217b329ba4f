// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/frame_warp.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>

#include "heat/row_mix.h"
#include "ohmglow/base/geometry.h"

namespace ohmglow {
namespace {

const cv::Size kSize(53, 37);

// From one that hardly moves to one that leaves the picture.
const Similarity kMotions[] = {
    {0.3, -0.2, 0, 1}, {-3.3, 5.2, 1.5, 1.01}, {3, -2, -0.5, 0.995}, {60, -50, 10, 1}};

Image Noise(unsigned seed) {
  cv::RNG random(seed);
  Image picture(kSize);
  random.fill(picture, cv::RNG::NORMAL, 0, 1);
  return picture;
}

// Keys, IEEE Trans. Acoust. 29 (1981) 1153-1160, eq. 8 with a = -0.75.
double Cubic(double distance) {
  const double s = std::abs(distance);
  const double a = -0.75;
  if (s < 1) return (a + 2) * s * s * s - (a + 3) * s * s + 1;
  if (s < 2) return a * s * s * s - 5 * a * s * s + 8 * a * s - 4 * a;
  return 0;
}

double Linear(double distance) { return std::max(0.0, 1 - std::abs(distance)); }

template <typename Kernel>
Image Resampled(const Image& from, const cv::Matx23d& map, const Kernel& kernel) {
  Image out(from.size());
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      const cv::Vec2d at = map * cv::Vec3d(x, y, 1);
      double sum = 0;
      for (int v = cvFloor(at[1]) - 1; v <= cvFloor(at[1]) + 2; ++v) {
        for (int u = cvFloor(at[0]) - 1; u <= cvFloor(at[0]) + 2; ++u) {
          sum += kernel(at[0] - u) * kernel(at[1] - v) *
                 from(std::clamp(v, 0, from.rows - 1), std::clamp(u, 0, from.cols - 1));
        }
      }
      out(y, x) = static_cast<float>(sum);
    }
  }
  return out;
}

TEST(Warp, InterpolatesAsTheFormulaDoes) {
  const Image from = Noise(1);
  for (const Similarity& motion : kMotions) {
    const Warp warp(motion.Matrix(kSize), kSize);
    Image cubic(kSize, 1.0F);
    warp.AddCubic(from, cubic);
    EXPECT_LT(cv::norm(cubic - 1, Resampled(from, motion.Matrix(kSize), Cubic), cv::NORM_INF),
              1e-5);
    Image linear(kSize, 0.0F);
    warp.AddLinear(from, 2, 0, kSize.height, linear.ptr<float>());
    EXPECT_LT(cv::norm(linear / 2, Resampled(from, motion.Matrix(kSize), Linear), cv::NORM_INF),
              1e-5);
  }
}

TEST(Warp, GivesRowsAloneAsItGivesThemAll) {
  const Image from = Noise(2);
  const Warp warp(kMotions[1].Matrix(kSize), kSize);
  Image all(kSize, 0.0F);
  warp.AddLinear(from, 1, 0, kSize.height, all.ptr<float>());
  Image some(5, kSize.width, 0.0F);
  warp.AddLinear(from, 1, 11, 5, some.ptr<float>());
  EXPECT_EQ(cv::norm(some, all.rowRange(11, 16), cv::NORM_INF), 0);
}

TEST(Warp, SpreadsWithTheTransposedMatrix) {
  const Image a = Noise(3);
  const Image b = Noise(4);
  for (const Similarity& motion : kMotions) {
    const Warp warp(motion.Matrix(kSize), kSize);
    Image forward(kSize, 0.0F);
    warp.AddLinear(a, 1.5, 0, kSize.height, forward.ptr<float>());
    Image back(kSize, 0.0F);
    warp.SpreadLinear(b.ptr<float>(), 1.5, 0, kSize.height, back);
    EXPECT_NEAR(forward.dot(b), a.dot(back), 1e-3);
    EXPECT_NE(a.dot(back), 0);
  }
}

TEST(MixRows, IsAMatrixProductWhateverTheSizes) {
  for (const int rows : {1, 4, 7}) {
    for (const int pixels : {5, 128, 300}) {
      const Eigen::MatrixXf matrix = Eigen::MatrixXf::Random(rows, 9);
      const PixelRows in = PixelRows::Random(9, pixels);
      const PixelRows expected = matrix * in;
      EXPECT_LT((Mixed(matrix, in) - expected).cwiseAbs().maxCoeff(), 1e-5F);
      PixelRows sum = PixelRows::Ones(rows, pixels);
      MixRows(matrix, in.data(), pixels, pixels, true, sum.data(), pixels);
      EXPECT_LT((sum.array() - 1 - expected.array()).abs().maxCoeff(), 1e-5F);
    }
  }
}

}  // namespace
}  // namespace ohmglow
