// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/power_map.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "ohmglow/base/error.h"
#include "support/power_bench.h"

namespace ohmglow {
namespace {

using testing::Bench;
using testing::Highest;
using testing::HighestNear;
using testing::kMmPerPixel;
using testing::kNoiseK;
using testing::kSize;
using testing::Record;
using testing::TheBench;

TEST(PowerMap, ReadsTheWattsOfASource) {
  const Bench& bench = TheBench();
  constexpr double kQuietK = 0.01;
  double near_error = 0;
  double far_error = 0;
  for (const double power_w : {1e-3, 0.1}) {
    std::mt19937 random(1);
    Response response = bench.Noise(random, kQuietK);
    bench.near.Add({48, 36}, power_w, kSize, response.courses);
    const PowerMap map = bench.Map(response);
    EXPECT_NEAR(map.near_w(36, 48), power_w, 0.03 * power_w);
    const Highest sharp = HighestNear(map.sharp_w, {48, 36}, 2);
    EXPECT_NEAR(sharp.value, power_w, 0.05 * power_w);
    near_error = std::max(near_error, std::abs(map.near_w(36, 48) / power_w - 1));

    response = bench.Noise(random, kQuietK);
    bench.far.Add({48, 36}, power_w, kSize, response.courses);
    const double far_w = bench.Map(response).far_w(36, 48);
    EXPECT_NEAR(far_w, power_w, 0.03 * power_w);
    far_error = std::max(far_error, std::abs(far_w / power_w - 1));
  }
  Record("near_error", near_error);
  Record("far_error", far_error);
}

// Moments and exceedance of a standard normal distribution.
TEST(PowerMap, StandardisesWhiteNoise) {
  const Bench& bench = TheBench();
  std::mt19937 random(2);
  double square = 0;
  int above_3 = 0;
  int above_4 = 0;
  int total = 0;
  double spread = 0;
  const int draws = 50;
  for (int draw = 0; draw < draws; ++draw) {
    const PowerMap map = bench.Map(bench.Noise(random));
    spread += map.spread / draws;
    for (int y = 0; y < kSize.height; ++y) {
      for (int x = 0; x < kSize.width; ++x) {
        const double z = map.near_w(y, x) / map.near_sigma_w(y, x);
        square += z * z;
        if (std::abs(z) > 3) ++above_3;
        if (std::abs(z) > 4) ++above_4;
        ++total;
      }
    }
  }
  Record("variance", square / total);
  Record("beyond_3", static_cast<double>(above_3) / total);
  Record("beyond_4", static_cast<double>(above_4) / total);
  // About total/20 independent values: standard error of the variance 1 %.
  EXPECT_NEAR(square / total, 1, 0.04);
  EXPECT_NEAR(static_cast<double>(above_3) / total, 2.70e-3, 0.25 * 2.70e-3);
  EXPECT_NEAR(static_cast<double>(above_4) / total, 6.33e-5, 1.0 * 6.33e-5);
  EXPECT_NEAR(spread, 1, 0.05);
}

TEST(PowerMap, PartsNeighbours) {
  const Bench& bench = TheBench();
  const double power_w = bench.WattsAt(40);
  std::mt19937 random(4);
  std::uniform_real_distribution<double> jitter(-0.5, 0.5);
  std::uniform_real_distribution<double> turn(0, 3.14159);
  const int draws = 60;
  int parted = 0;
  int smooth_parted = 0;
  for (int draw = 0; draw < draws; ++draw) {
    Response response = bench.Noise(random);
    const double angle = turn(random);
    const Point half(2.5 * std::cos(angle), 2.5 * std::sin(angle));
    const Point middle(48 + jitter(random), 36 + jitter(random));
    const Point a = middle - half;
    const Point b = middle + half;
    bench.near.Add(a, power_w, kSize, response.courses);
    bench.near.Add(b, power_w, kSize, response.courses);
    const PowerMap map = bench.Map(response);
    const auto two = [&](const Image& image) {
      const double peak =
          std::min(HighestNear(image, a, 1.2).value, HighestNear(image, b, 1.2).value);
      const double saddle = HighestNear(image, middle, 0.71).value;
      return saddle / peak;
    };
    if (two(map.sharp_w) < 0.9) ++parted;
    if (two(map.near_w) < 0.9) ++smooth_parted;
  }
  Record("parted", parted);
  Record("parted_without_sharpening", smooth_parted);
  EXPECT_GE(parted, 54);
  // Else there would be nothing to sharpen.
  EXPECT_LE(smooth_parted, 6);
}

TEST(PowerMap, MakesNoGhostAtDeadPixelsAndBorders) {
  const Bench& bench = TheBench();
  const double power_w = bench.WattsAt(60);
  std::mt19937 random(5);
  Response whole = bench.Noise(random);
  bench.near.Add({40, 30}, power_w, kSize, whole.courses);
  bench.near.Add({93, 36}, power_w, kSize, whole.courses);  // Near the border.
  Response dead = whole;
  dead.noise_k = whole.noise_k.clone();
  dead.seen = whole.seen.clone();
  const std::vector<cv::Point> lost = {{43, 30}, {44, 31}, {60, 50}};
  for (const cv::Point& p : lost) {
    dead.seen(p) = 0;
    dead.courses.col(p.y * kSize.width + p.x).setConstant(3);  // 60 times the noise.
  }
  const PowerMap expected = bench.Map(whole);
  const PowerMap map = bench.Map(dead);
  double most = 0;
  double alone = 0;
  for (int y = 0; y < kSize.height; ++y) {
    for (int x = 0; x < kSize.width; ++x) {
      if (dead.seen(y, x) == 0) {
        EXPECT_TRUE(std::isnan(map.near_w(y, x)));
        continue;
      }
      const double change =
          std::abs(map.near_w(y, x) - expected.near_w(y, x)) / map.near_sigma_w(y, x);
      most = std::max(most, change);
      if (cv::norm(cv::Point(x, y) - lost[2]) < 8) alone = std::max(alone, change);
    }
  }
  Record("largest_change_sigma", most);
  Record("change_by_itself_sigma", alone);
  // Beside a source of 60 sigma two lost pixels take some of what is known.
  EXPECT_LT(most, 0.08 * 60);
  EXPECT_LT(alone, 1);
  EXPECT_NEAR(map.near_w(36, 93), power_w, 0.06 * power_w);
  EXPECT_NEAR(HighestNear(map.sharp_w, {93, 36}, 2).value, power_w, 0.1 * power_w);
  // Nothing comes in at the other side.
  EXPECT_LT(std::abs(HighestNear(Image(map.near_w / map.near_sigma_w), {2, 36}, 6).value), 4);
}

TEST(PowerMap, TellsNearFromFar) {
  const Bench& bench = TheBench();
  std::mt19937 random(6);
  const int draws = 40;
  for (const bool near : {true, false}) {
    Response noise = bench.Noise(random);
    const PowerMap empty = bench.Map(noise);
    const Image& sigma = near ? empty.near_sigma_w : empty.far_sigma_w;
    const double power_w = 15 * sigma(36, 48);
    int right = 0;
    for (int draw = 0; draw < draws; ++draw) {
      Response response = bench.Noise(random);
      (near ? bench.near : bench.far).Add({48, 36}, power_w, kSize, response.courses);
      const PowerMap map = bench.Map(response);
      // Where the better of the two explanations is highest.
      const Image better(
          cv::max(Image(map.near_w / map.near_sigma_w), Image(map.far_w / map.far_sigma_w)));
      const cv::Point at = HighestNear(better, {48, 36}, 4).at;
      if ((map.near_over_far(at) > 0) == near) ++right;
    }
    Record(near ? "near_right" : "far_right", right);
    EXPECT_GE(right, 38);
  }
}

TEST(PowerMap, RefusesWhatMakesNoSense) {
  const Bench& bench = TheBench();
  std::mt19937 random(8);
  const Response response = bench.Noise(random);
  PowerMapOptions options;
  options.threshold = 0.5;
  EXPECT_THROW(static_cast<void>(MakePowerMap(
                   response, bench.model, bench.drive, bench.plate, kMmPerPixel, options)),
               OptionError);
  EXPECT_THROW(
      static_cast<void>(MakePowerMap(response, bench.model, bench.drive, bench.plate, 0, {})),
      OptionError);
}

}  // namespace
}  // namespace ohmglow
