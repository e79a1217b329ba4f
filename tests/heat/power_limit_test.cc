// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "heat/power_map.h"
#include "support/power_bench.h"

namespace ohmglow {
namespace {

using testing::Bench;
using testing::HighestNear;
using testing::kSize;
using testing::Record;
using testing::TheBench;

TEST(PowerLimit, KeepsTheStatedDetectionLimit) {
  const Bench& bench = TheBench();
  std::mt19937 random(3);
  std::uniform_real_distribution<double> jitter(-4, 4);
  const int draws = 100;
  const auto found = [&](double power_w) {
    int count = 0;
    for (int draw = 0; draw < draws; ++draw) {
      Response response = bench.Noise(random);
      const Point at(48 + jitter(random), 36 + jitter(random));
      bench.near.Add(at, power_w, kSize, response.courses);
      const PowerMap map = bench.Map(response);
      const double z = HighestNear(Image(map.near_w / map.near_sigma_w), at, 3).value;
      if (z > PowerMapOptions{}.threshold) ++count;
    }
    return static_cast<double>(count) / draws;
  };
  double half_w = 0;
  double most_w = 0;
  for (int draw = 0; draw < 20; ++draw) {
    const PowerMap empty = bench.Map(bench.Noise(random));
    half_w += empty.limit_half_w(36, 48) / 20;
    most_w += empty.limit_most_w(36, 48) / 20;
  }
  const double found_half = found(half_w);
  const double found_most = found(most_w);
  Record("found_at_half", found_half);
  Record("found_at_most", found_most);
  // Binomial of 100: three standard errors are 0.15 and 0.065.
  EXPECT_NEAR(found_half, 0.5, 0.15);
  EXPECT_NEAR(found_most, 0.95, 0.065);
}

}  // namespace
}  // namespace ohmglow
