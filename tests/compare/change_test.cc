// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/change.h"

#include <gtest/gtest.h>

#include <cmath>

namespace ohmglow {
namespace {

constexpr double kGoneShare = 0.15;
// Quantiles of the normal distribution: NIST/SEMATECH e-Handbook of Statistical
// Methods, section 1.3.6.7.1 (from memory).
constexpr double kQuantile95 = 1.6449;
constexpr double kQuantile975 = 1.9600;

double Sum(const ChangeProbs& probs) {
  return probs.gone + probs.weaker + probs.unchanged + probs.stronger;
}

TEST(JudgeChange, GivesProbabilities) {
  for (const double ratio : {-0.1, 0.0, 0.3, 1.0, 2.0, 20.0}) {
    for (const double sigma : {1e-6, 0.01, 0.1, 1.0, 9.0}) {
      EXPECT_NEAR(Sum(JudgeChange(ratio, sigma, kGoneShare)), 1, 1e-9) << ratio << " " << sigma;
    }
  }
}

// What AFTER could not have shown leaves the prior, by hand: 0.45 repaired and
// a tenth spread over 0 .. 1; to a fifth the same 0.40, some of it and of the
// tenth below 0.65.
TEST(JudgeChange, KnowsNoMoreThanBeforeWhereNothingCouldBeSeen) {
  const ChangeProbs probs = JudgeChange(0.3, 1e4, kGoneShare);
  EXPECT_NEAR(probs.gone, 0.45 + 0.10 * 0.15, 0.005);
  const double below = 0.5 * std::erfc(-std::log(0.65) / 0.2 / std::sqrt(2.0));
  EXPECT_NEAR(probs.weaker, 0.10 * 0.5 + 0.40 * below, 0.002);
  EXPECT_EQ(LikeliestChange(probs), PlaceChange::kUnknown);
}

TEST(JudgeChange, TellsWhatIsSharp) {
  EXPECT_GT(JudgeChange(0, 0.02, kGoneShare).gone, 0.98);
  EXPECT_GT(JudgeChange(0.4, 0.02, kGoneShare).weaker, 0.9);
  EXPECT_GT(JudgeChange(1, 0.02, kGoneShare).unchanged, 0.95);
  EXPECT_GT(JudgeChange(3, 0.02, kGoneShare).stronger, 0.95);
  EXPECT_GT(JudgeChange(30, 0.02, kGoneShare).stronger, 0.95);
}

// A negative strength, as FitRatio() states it, is none.
TEST(JudgeChange, TakesLessThanNothingForNothing) {
  const ChangeProbs probs = JudgeChange(-0.1, 0.05, kGoneShare);
  EXPECT_GT(probs.gone, 0.97);
  EXPECT_EQ(LikeliestChange(probs), PlaceChange::kGone);
}

TEST(JudgeChange, MindsWhereGoneEnds) {
  EXPECT_GT(JudgeChange(0.2, 0.01, 0.4).gone, 0.9);
  EXPECT_LT(JudgeChange(0.2, 0.01, 0.1).gone, 0.1);
}

TEST(JudgeChange, GetsSurerWithLessNoise) {
  double last = 0;
  for (const double sigma : {1.0, 0.5, 0.2, 0.1, 0.05}) {
    const double gone = JudgeChange(0, sigma, kGoneShare).gone;
    EXPECT_GT(gone, last);
    last = gone;
  }
}

TEST(LikeliestChange, NeedsALikelyOne) {
  EXPECT_EQ(LikeliestChange({0.7, 0.1, 0.1, 0.1}), PlaceChange::kGone);
  EXPECT_EQ(LikeliestChange({0.1, 0.7, 0.1, 0.1}), PlaceChange::kWeaker);
  EXPECT_EQ(LikeliestChange({0.1, 0.1, 0.7, 0.1}), PlaceChange::kUnchanged);
  EXPECT_EQ(LikeliestChange({0.1, 0.1, 0.1, 0.7}), PlaceChange::kStronger);
  EXPECT_EQ(LikeliestChange({0.5, 0.2, 0.2, 0.1}), PlaceChange::kUnknown);
  // Certainly there, though how strong is open.
  EXPECT_EQ(LikeliestChange({0.02, 0.5, 0.48, 0}), PlaceChange::kWeaker);
  EXPECT_EQ(LikeliestChange({0.02, 0, 0.5, 0.48}), PlaceChange::kStronger);
}

TEST(UpperLimit, IsTheNormalQuantileWhereThePowerIsSharp) {
  // Half a normal: one-sided 95 % is two-sided 97.5 %.
  EXPECT_NEAR(UpperLimit(0, 0.1, 2, 0), 2 * 0.1 * kQuantile975, 1e-4);
  // Far from zero: the usual one.
  EXPECT_NEAR(UpperLimit(1, 0.1, 2, 0), 2 * (1 + 0.1 * kQuantile95), 1e-4);
}

// A known ratio leaves the log-normal of the power.
TEST(UpperLimit, IsTheLogNormalQuantileWhereTheRatioIsSharp) {
  for (const double log_sigma : {0.1, 0.5}) {
    const double expected = 0.5 * 2 * std::exp(kQuantile95 * log_sigma);
    EXPECT_NEAR(UpperLimit(0.5, 1e-4, 2, log_sigma), expected, 0.03 * expected) << log_sigma;
  }
}

TEST(UpperLimit, GrowsWithEachError) {
  EXPECT_GT(UpperLimit(0, 0.2, 1, 0.3), UpperLimit(0, 0.1, 1, 0.3));
  EXPECT_GT(UpperLimit(0, 0.1, 1, 0.6), UpperLimit(0, 0.1, 1, 0.3));
  EXPECT_NEAR(UpperLimit(0.05, 0.1, 3, 0.3), 3 * UpperLimit(0.05, 0.1, 1, 0.3), 1e-9);
}

TEST(UpperLimit, StaysFiniteWhereTheEstimateIsBelowZero) {
  const double limit = UpperLimit(-0.2, 0.1, 1, 0.2);
  EXPECT_GT(limit, 0);
  EXPECT_LT(limit, UpperLimit(0, 0.1, 1, 0.2));
}

}  // namespace
}  // namespace ohmglow
