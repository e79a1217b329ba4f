// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "base/best_apart.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace ohmglow {
namespace {

struct Match {
  double good = 0;
  double place = 0;
};

std::vector<double> GoodOf(int most) {
  const std::vector<Match> all{{1, 10}, {5, 0}, {4, 0.5}, {2, 20}, {3, 10.5}, {3, 30}};
  const auto same = [](const Match& a, const Match& b) { return std::abs(a.place - b.place) < 1; };
  std::vector<double> good;
  for (const Match& match : BestApart(all, most, &Match::good, same)) good.push_back(match.good);
  return good;
}

TEST(BestApart, KeepsTheBestOfThoseThatAreTheSame) {
  EXPECT_EQ(GoodOf(9), (std::vector<double>{5, 3, 3, 2}));
}

TEST(BestApart, KeepsNoMoreThanAskedFor) {
  EXPECT_EQ(GoodOf(2), (std::vector<double>{5, 3}));
  EXPECT_TRUE(GoodOf(0).empty());
}

TEST(BestApart, KeepsTheOrderOfEquals) {
  const std::vector<Match> all{{1, 0}, {1, 5}, {1, 2}};
  const auto same = [](const Match&, const Match&) { return false; };
  const std::vector<Match> kept = BestApart(all, 3, &Match::good, same);
  ASSERT_EQ(kept.size(), 3U);
  EXPECT_EQ(kept[1].place, 5);
}

}  // namespace
}  // namespace ohmglow
