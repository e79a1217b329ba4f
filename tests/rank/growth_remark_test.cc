// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/growth_remark.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "ohmglow/base/remark_kind.h"
#include "rank/confidence.h"
#include "support/said.h"

namespace ohmglow {
namespace {

Candidate WithTopLevel(double rise_k, double sigma_k) {
  Candidate candidate;
  candidate.remarks = {Remark(RemarkKind::kFarWeaker),
                       Remark(RemarkKind::kGrowsSquare).With("exponent", 2).With("error", 0.06),
                       Remark(RemarkKind::kNoPart)};
  candidate.levels = {{1, 0.25 * rise_k, sigma_k}, {2, rise_k, sigma_k}};
  return candidate;
}

TEST(GrowthCanBeRead, AsksForABarNoLongerThanTheRise) {
  EXPECT_TRUE(GrowthCanBeRead(WithTopLevel(0.4, 0.1)));
  EXPECT_FALSE(GrowthCanBeRead(WithTopLevel(0.38, 0.1)));  // 3.92 standard deviations.
  EXPECT_FALSE(GrowthCanBeRead(WithTopLevel(-0.1, 0.01)));
  EXPECT_TRUE(GrowthCanBeRead(Candidate()));
}

// Levels that the board's slow warming blurs say nothing against an exponent
// that all frames together give.
TEST(GrowthCanBeRead, TakesAnExponentThatIsKnown) {
  Candidate candidate = WithTopLevel(12.1, 7.1);
  EXPECT_FALSE(GrowthCanBeRead(candidate));
  candidate.snr = 59;
  candidate.current_exponent_sigma = 0.2;
  EXPECT_FALSE(GrowthCanBeRead(candidate));
  candidate.current_exponent_sigma = 0.04;
  EXPECT_TRUE(GrowthCanBeRead(candidate));
  candidate.snr = 12;
  EXPECT_FALSE(GrowthCanBeRead(candidate));
}

TEST(SayWhereGrowthCannotBeRead, TouchesNoOtherRemark) {
  Candidate bright = WithTopLevel(1, 0.1);
  SayWhereGrowthCannotBeRead(bright);
  EXPECT_EQ(bright.remarks, WithTopLevel(1, 0.1).remarks);
  Candidate faint = WithTopLevel(0.1, 0.1);
  SayWhereGrowthCannotBeRead(faint);
  ASSERT_EQ(faint.remarks.size(), 3U);
  EXPECT_EQ(faint.remarks[0], bright.remarks[0]);
  EXPECT_TRUE(testing::Says(faint.remarks[1], "Too faint to read how its heat grows"));
  EXPECT_EQ(faint.remarks[2], bright.remarks[2]);
}

// The words are found again whatever the exponent says.
TEST(SayWhereGrowthCannotBeRead, KnowsEveryGrowthRemark) {
  for (const double exponent : {1.0, 1.5, 2.0, 2.4}) {
    Spot spot;
    spot.snr = 50;
    spot.course.log_by_itself = spot.course.log_smooth = -5;
    spot.course.exponent = exponent;
    spot.course.exponent_sigma = 0.05;
    Candidate candidate = WithTopLevel(0.1, 0.1);
    candidate.remarks = JudgeSpot(spot, 5).remarks;
    const auto says = [&](const char* words) { return testing::Says(candidate.remarks, words); };
    ASSERT_TRUE(says("exponent") || says("to the power of")) << exponent;
    SayWhereGrowthCannotBeRead(candidate);
    EXPECT_TRUE(says("Too faint to read")) << exponent;
    EXPECT_FALSE(says("Its heat grows")) << exponent;
  }
}

}  // namespace
}  // namespace ohmglow
