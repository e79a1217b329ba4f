// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/posterior.h"

#include <gtest/gtest.h>

#include <cmath>

#include "rank/weights.h"

namespace ohmglow {
namespace {

TEST(FaultPosterior, HasNoFaultWithoutPlaces) {
  EXPECT_EQ(FaultPosterior({}, 0.1).none_prob, 1);
  EXPECT_TRUE(FaultPosterior({}, 0.1).fault_prob.empty());
}

TEST(FaultPosterior, IsTheOddsOfOnePlaceAlone) {
  const Posterior posterior = FaultPosterior({std::log(3.0)}, 0.1);
  EXPECT_NEAR(posterior.fault_prob[0], 0.75, 1e-12);
  EXPECT_NEAR(posterior.none_prob, 0.25, 1e-12);
}

// By hand: sets {}, a, b, ab weigh 1, 4, 2, 0.1 x 8.
TEST(FaultPosterior, WeighsAllSetsOfTwo) {
  const Posterior posterior = FaultPosterior({std::log(4.0), std::log(2.0)}, 0.1);
  EXPECT_NEAR(posterior.none_prob, 1 / 7.8, 1e-12);
  EXPECT_NEAR(posterior.fault_prob[0], 4.8 / 7.8, 1e-12);
  EXPECT_NEAR(posterior.fault_prob[1], 2.8 / 7.8, 1e-12);
}

TEST(FaultPosterior, LetsAClearPlaceTakeFromADoubtfulOneAndTwoClearOnesStand) {
  const double alone = FaultPosterior({0.0}, 0.1).fault_prob[0];
  const Posterior beside = FaultPosterior({8.0, 0.0}, 0.1);
  EXPECT_LT(beside.fault_prob[1], 0.3 * alone);
  EXPECT_GT(beside.fault_prob[0], 0.99);
  const Posterior two = FaultPosterior({8.0, 7.0}, 0.1);
  EXPECT_GT(two.fault_prob[0], 0.95);
  EXPECT_GT(two.fault_prob[1], 0.95);
}

TEST(FaultPosterior, DoesNotOverflow) {
  const Posterior posterior = FaultPosterior({900.0, 880.0, -900.0}, 0.1);
  EXPECT_NEAR(posterior.fault_prob[0], 1, 1e-6);
  EXPECT_NEAR(posterior.fault_prob[1], 1, 1e-6);
  EXPECT_NEAR(posterior.fault_prob[2], 0, 1e-6);
  EXPECT_GE(posterior.none_prob, 0);
}

TEST(WeightOf, KnowsTheTableAndNothingElse) {
  for (const EvidenceWeight& row : kEvidenceWeights) {
    EXPECT_EQ(WeightOf(row.name), row.weight);
    const bool evidence = row.name != kBeforeLooking && row.name != kSecondFault;
    EXPECT_TRUE(!evidence || row.weight >= 0) << row.name;
  }
  EXPECT_THROW((void)WeightOf("tea leaves"), std::out_of_range);
}

}  // namespace
}  // namespace ohmglow
