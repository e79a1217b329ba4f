// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "unseen_steps.h"

#include <gtest/gtest.h>

#include "blurred_view.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

Ranking RankingOf(double first, double second) {
  Ranking ranking;
  ranking.verdict = Verdict::kFound;
  for (const double confidence : {first, second}) {
    Candidate place;
    place.confidence = confidence;
    place.resistance_ohm = Estimate{0.1, 0.05, 0.2};
    place.drop_v = Estimate{0.2, 0.1, 0.4};
    ranking.candidates.push_back(place);
  }
  ranking.elsewhere_prob = 0.01;
  return ranking;
}

TEST(JudgeUnseenSteps, TakesPlacesForHintsWhereNoneIsPlain) {
  Ranking ranking = RankingOf(0.85, 0.1);
  LocateResult result;
  result.verdict_reason = Remark::Quoted("Could not see it.");
  JudgeUnseenSteps(ranking, result);
  EXPECT_EQ(ranking.verdict, Verdict::kNone);
  EXPECT_DOUBLE_EQ(ranking.candidates[0].confidence, 0.3);
  EXPECT_DOUBLE_EQ(ranking.candidates[1].confidence, 0.1);
  EXPECT_DOUBLE_EQ(ranking.elsewhere_prob, 0.6);
  EXPECT_FALSE(ranking.candidates[0].resistance_ohm);
  EXPECT_FALSE(ranking.candidates[0].drop_v);
  EXPECT_EQ(result.verdict_reason, Remark::Quoted("Could not see it."));
}

TEST(JudgeUnseenSteps, LeavesAPlainPlaceTheFaultButLessSure) {
  Ranking ranking = RankingOf(0.97, 0.02);
  LocateResult result;
  result.verdict_reason = Remark::Quoted("Could not see it.");
  JudgeUnseenSteps(ranking, result);
  EXPECT_EQ(ranking.verdict, Verdict::kFound);
  EXPECT_DOUBLE_EQ(ranking.candidates[0].confidence, 0.8);
  EXPECT_NEAR(ranking.elsewhere_prob, 0.18, 1e-12);
  EXPECT_FALSE(ranking.candidates[0].resistance_ohm);
  EXPECT_TRUE(result.verdict_reason.empty());
}

TEST(JudgeUnseenSteps, SaysNoneOfNothing) {
  Ranking ranking;
  LocateResult result;
  result.verdict_reason = Remark::Quoted("Could not see it.");
  JudgeUnseenSteps(ranking, result);
  EXPECT_EQ(ranking.verdict, Verdict::kNone);
  EXPECT_FALSE(result.verdict_reason.empty());
}

TEST(DoubtNone, TellsWhereTheFramesAreTooFarOff) {
  const auto reason = [](Verdict verdict, double error_px) {
    LocateResult result;
    result.verdict = verdict;
    FrameState frame;
    frame.used = true;
    frame.residual_px = error_px;
    result.alignment.frames.assign(20, frame);
    result.alignment.median_residual_px = error_px;
    DoubtNone(result);
    return result.verdict_reason.kind;
  };
  EXPECT_EQ(reason(Verdict::kNone, 0.92), RemarkKind::kViewCannotTell);
  // Doubtful is a warning, as in check; and what was found stays found.
  EXPECT_EQ(reason(Verdict::kNone, 0.2), Remark().kind);
  EXPECT_EQ(reason(Verdict::kFound, 0.92), Remark().kind);
}

}  // namespace
}  // namespace ohmglow
