// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tone/color_curve.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

using Row = std::vector<cv::Vec3d>;  // Blue, green, red at even steps.

// Rows invented for this test: one that brightens, one that runs round the hues.
const Row kEmbers{{0, 0, 0}, {20, 0, 130}, {0, 60, 230}, {40, 190, 255}, {235, 255, 255}};
const Row kWheel{{200, 30, 20}, {210, 190, 0}, {60, 200, 40}, {20, 220, 240}, {20, 30, 225}};

cv::Vec3d ColorOf(const Row& row, double share) {
  const double at = share * static_cast<double>(row.size() - 1);
  const auto k = std::min(static_cast<std::size_t>(at), row.size() - 2);
  return row[k] + (at - static_cast<double>(k)) * (row[k + 1] - row[k]);
}

// Smooth values from 0 to 1, painted with a row of colours and a video's noise.
struct Painted {
  Image share;
  cv::Mat bgr;
};

Painted Paint(const Row& row, int seed, double noise = 3) {
  cv::RNG rng(static_cast<std::uint64_t>(seed));
  Painted out{Image(120, 160), cv::Mat(120, 160, CV_8UC3)};
  rng.fill(out.share, cv::RNG::NORMAL, 0, 1);
  cv::GaussianBlur(out.share, out.share, {}, 6);
  cv::normalize(out.share, out.share, 0, 1, cv::NORM_MINMAX);
  for (int y = 0; y < out.bgr.rows; ++y) {
    for (int x = 0; x < out.bgr.cols; ++x) {
      const cv::Vec3d color = ColorOf(row, static_cast<double>(out.share(y, x)));
      for (int c = 0; c < 3; ++c) {
        out.bgr.at<cv::Vec3b>(y, x)[c] =
            cv::saturate_cast<unsigned char>(color[c] + rng.gaussian(noise));
      }
    }
  }
  return out;
}

// Values must rise with what was painted. How evenly they do depends on the row.
double Disorder(const Painted& painted, const Image& values) {
  // Mean share of each value's bin, which may nowhere fall.
  std::vector<double> sum(32, 0), num(32, 0);
  double wrong = 0;
  for (int y = 0; y < values.rows; ++y) {
    for (int x = 0; x < values.cols; ++x) {
      if (!std::isfinite(values(y, x))) {
        wrong += 1;
        continue;
      }
      const auto bin = static_cast<std::size_t>(std::min(31.0F, values(y, x) / 8));
      sum[bin] += static_cast<double>(painted.share(y, x));
      num[bin] += 1;
    }
  }
  double before = -1;
  for (std::size_t b = 0; b < 32; ++b) {
    if (num[b] < 20) continue;
    EXPECT_GT(sum[b] / num[b], before) << "bin " << b;
    before = sum[b] / num[b];
  }
  return wrong / static_cast<double>(values.total());
}

class Rows : public ::testing::TestWithParam<const Row*> {};

TEST_P(Rows, OrdersColours) {
  std::vector<cv::Mat> pictures;
  for (int i = 0; i < 6; ++i) pictures.push_back(Paint(*GetParam(), i).bgr);
  const ColorCurve curve(pictures, {});
  EXPECT_FALSE(curve.is_grey());
  const Painted fresh = Paint(*GetParam(), 99);
  const Image values = curve.Values(fresh.bgr);
  EXPECT_LT(Disorder(fresh, values), 0.001);
  cv::Scalar mean, sd;
  // Within steps of the row, noise of 3 of 255 moves a value by about as much.
  Image smooth;
  cv::GaussianBlur(values, smooth, {}, 1.5);
  cv::meanStdDev(values - smooth, mean, sd);
  EXPECT_LT(sd[0], 4);
}

INSTANTIATE_TEST_SUITE_P(All, Rows, ::testing::Values(&kEmbers, &kWheel));

TEST(ColorCurve, LeavesOutWhatIsDrawnInAnotherColour) {
  std::vector<cv::Mat> pictures;
  for (int i = 0; i < 6; ++i) {
    pictures.push_back(Paint(kEmbers, i).bgr);
    cv::line(pictures.back(), {20, 20}, {60, 20}, {60, 255, 0}, 2);
  }
  const ColorCurve curve(pictures, {});
  const Image values = curve.Values(pictures[0]);
  for (int x = 24; x < 56; ++x) EXPECT_TRUE(std::isnan(values(20, x))) << x;
  EXPECT_TRUE(std::isfinite(values(60, 40)));
}

TEST(ColorCurve, TurnsRoundWhereTheDarkEndIsWarm) {
  std::vector<cv::Mat> pictures{Paint(kEmbers, 1).bgr, Paint(kEmbers, 2).bgr};
  ColorCurveOptions dark;
  dark.dark_is_warm = true;
  const Image bright_warm = ColorCurve(pictures, {}).Values(pictures[0]);
  const Image dark_warm = ColorCurve(pictures, dark).Values(pictures[0]);
  EXPECT_LT(cv::norm(bright_warm + dark_warm, Image(bright_warm.size(), 255.0F), cv::NORM_INF), 1);
}

TEST(ColorCurve, ReadsGreyByItsBrightness) {
  const Row grey{{0, 0, 0}, {255, 255, 255}};
  const Painted painted = Paint(grey, 5, 1);
  const ColorCurve curve({painted.bgr}, {});
  EXPECT_TRUE(curve.is_grey());
  EXPECT_NEAR(curve.Values(painted.bgr)(50, 50), 255 * painted.share(50, 50), 4);
}

TEST(ColorCurve, RefusesOneColour) {
  EXPECT_THROW(ColorCurve({cv::Mat(100, 100, CV_8UC3, cv::Scalar(200, 20, 20))}, {}), DataError);
}

}  // namespace
}  // namespace ohmglow
