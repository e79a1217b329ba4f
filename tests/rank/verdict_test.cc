// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/verdict.h"

#include <gtest/gtest.h>

namespace ohmglow {
namespace {

Ranking Sure() {
  Ranking ranking;
  ranking.candidates.resize(2);
  ranking.candidates[0].confidence = 0.9;
  ranking.candidates[0].resistance_ohm = Estimate{0.1, 0.05, 0.2};
  ranking.candidates[1].confidence = 0.05;
  ranking.elsewhere_prob = 0.05;
  ranking.verdict = Verdict::kFound;
  return ranking;
}

TEST(Doubt, ChangesNothingWhereAllHolds) {
  Ranking ranking = Sure();
  Doubt(1, ranking);
  EXPECT_EQ(ranking.candidates[0].confidence, 0.9);
  EXPECT_EQ(ranking.elsewhere_prob, 0.05);
  EXPECT_EQ(ranking.verdict, Verdict::kFound);
  EXPECT_TRUE(ranking.candidates[0].resistance_ohm.has_value());
}

TEST(Doubt, LeavesProbabilityElsewhereAndTakesTheVerdictBack) {
  Ranking ranking = Sure();
  Doubt(0.3, ranking);
  EXPECT_NEAR(ranking.candidates[0].confidence, 0.27, 1e-12);
  EXPECT_NEAR(ranking.candidates[1].confidence, 0.015, 1e-12);
  EXPECT_NEAR(ranking.elsewhere_prob, 0.05 + 0.7 * 0.95, 1e-12);
  EXPECT_EQ(ranking.verdict, Verdict::kNone);
  EXPECT_FALSE(ranking.candidates[0].resistance_ohm.has_value());
}

TEST(VerdictOn, CountsThePlacesThatAreCalledFaults) {
  std::vector<Candidate> places = Sure().candidates;
  EXPECT_EQ(VerdictOn(places), Verdict::kFound);
  places[1].confidence = kFaultConfidence;
  EXPECT_EQ(VerdictOn(places), Verdict::kSeveral);
  EXPECT_EQ(VerdictOn({}), Verdict::kNone);
}

}  // namespace
}  // namespace ohmglow
