// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/color_curve.h"

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

// The bar of a camera: even in the value, whatever the row of colours is.
cv::Mat WithBar(cv::Mat bgr, const Row& row, const cv::Rect& box, bool warm_first) {
  const bool upright = box.height > box.width;
  const int length = upright ? box.height : box.width;
  for (int k = 0; k < length; ++k) {
    const double share = static_cast<double>(warm_first ? length - 1 - k : k) / (length - 1);
    const cv::Vec3d color = ColorOf(row, share);
    const cv::Rect step = upright ? cv::Rect(box.x, box.y + k, box.width, 1)
                                  : cv::Rect(box.x + k, box.y, 1, box.height);
    bgr(step) = cv::Scalar(color[0], color[1], color[2]);
  }
  return bgr;
}

// A row of which most of the way lies in its lower fifth.
const Row kUneven{
    {90, 20, 0}, {0, 200, 60}, {10, 60, 230}, {30, 80, 240}, {50, 100, 245}, {80, 130, 250}};

struct BarCase {
  cv::Rect box;
  bool warm_first;
};

class Bars : public ::testing::TestWithParam<BarCase> {};

TEST_P(Bars, MakesTheRowEven) {
  const auto& [box, warm_first] = GetParam();
  std::vector<cv::Mat> plain;
  std::vector<cv::Mat> barred;
  for (int i = 0; i < 6; ++i) {
    plain.push_back(Paint(kUneven, i).bgr);
    barred.push_back(WithBar(plain.back().clone(), kUneven, box, warm_first));
  }
  const ColorCurve curve(barred, {});
  ASSERT_TRUE(curve.bar());
  EXPECT_EQ(curve.bar()->box & box, curve.bar()->box);
  EXPECT_GT(curve.bar()->box.area(), 0.8 * box.area());
  const auto error_of = [](const ColorCurve& by) {
    const Painted fresh = Paint(kUneven, 99);
    const Image off(by.Values(fresh.bgr) - 255 * fresh.share);
    Mask finite;
    cv::inRange(off, -1000, 1000, finite);
    return std::sqrt(cv::mean(off.mul(off), finite)[0]);
  };
  EXPECT_LT(error_of(curve), 8);
  EXPECT_GT(error_of(ColorCurve(plain, {})), 25);
  // The bar itself shows nothing of the scene.
  const Image values = curve.Values(barred[0]);
  EXPECT_TRUE(std::isnan(values(box.y + box.height / 2, box.x + box.width / 2)));
}

INSTANTIATE_TEST_SUITE_P(All,
                         Bars,
                         ::testing::Values(BarCase{{150, 15, 6, 90}, true},
                                           BarCase{{4, 30, 4, 60}, true},
                                           BarCase{{20, 110, 120, 5}, false}));

// Warm is up, though that end is the darker one here.
TEST(ColorCurve, LearnsTheWarmEndFromTheBar) {
  const Row falling{{255, 250, 250}, {230, 190, 60}, {60, 120, 40}, {10, 20, 90}};
  std::vector<cv::Mat> pictures;
  for (int i = 0; i < 6; ++i) {
    pictures.push_back(WithBar(Paint(falling, i).bgr, falling, {150, 15, 6, 90}, true));
  }
  const Painted fresh = Paint(falling, 99);
  const auto rises = [&](const ColorCurve& curve) {
    const Image values = curve.Values(fresh.bgr);
    Mask warm, cold;
    cv::inRange(fresh.share, 0.7, 1, warm);
    cv::inRange(fresh.share, 0, 0.3, cold);
    Mask finite;
    cv::inRange(values, -1, 256, finite);
    return cv::mean(values, warm & finite)[0] > cv::mean(values, cold & finite)[0];
  };
  EXPECT_TRUE(rises(ColorCurve(pictures, {})));
  ColorCurveOptions said;
  said.dark_is_warm = true;
  EXPECT_TRUE(rises(ColorCurve(pictures, said)));
}

// A board of even warmth on a bench, filmed without a bar.
TEST(ColorCurve, TakesNoEdgeOfTheSceneForABar) {
  std::vector<cv::Mat> pictures;
  for (int i = 0; i < 6; ++i) {
    cv::Mat bgr = Paint(kEmbers, 7).bgr;  // Nothing moves.
    const cv::Vec3d color = ColorOf(kEmbers, 0.6);
    bgr(cv::Rect(40, 30, 80, 60)) = cv::Scalar(color[0], color[1], color[2]);
    pictures.push_back(bgr);
  }
  EXPECT_FALSE(ColorCurve(pictures, {}).bar());
}

}  // namespace
}  // namespace ohmglow
