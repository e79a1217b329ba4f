// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/identifiability.h"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <string>

#include "support/scene.h"
#include "support/said.h"

namespace ohmglow {
namespace {

using testing::Steps;

// 8 Hz, five frames a bin.
Stack Frames(double seconds) {
  return testing::StillStack({8, 8}, static_cast<int>(std::lround(seconds * 8 / 5)), 5, 0.125);
}

Identifiability Judged(const Steps& steps, double seconds) {
  const Stack stack = Frames(seconds);
  return JudgeDrive(TemporalModel(stack, {}), Drive(testing::StepLog(steps, seconds), 0));
}

bool Says(const Identifiability& found, const std::string& text) {
  return testing::Says(found.advice, text);
}

const Steps kStep = {{20, 1}};
const Steps kStairs = {{5, 1}, {12, 2}, {19, 3}};
const Steps kAlternating = {{8, 1}, {16, 0}, {24, 1}, {32, 0}};

// With frames minutes apart every lag of a board is gone and the course is the
// step itself: a half wave in -1 .. 1 of mean square 1/2. Its coefficients in
// Legendre's polynomials P0, P1, P3 (mean squares 1, 1/3, 1/7; that in P2 is 0)
// are 1/2, 3/4, -7/16: 1/4, 1/16, 9/256 are left. Source of the polynomials:
// Abramowitz, Stegun 1964, 22.4 (from memory); integrals done by hand.
TEST(Identifiability, OfAStepInTheMiddleIsThatOfTheHalfWave) {
  const Stack stack = testing::StillStack({8, 8}, 128, 4, 600);
  const double middle_s = 128 * 4 * 600 / 2 - 300;
  const SupplyLog log = testing::StepLog({{middle_s, 1}}, 128 * 4 * 600, 60);
  const KeptShare kept = JudgeDrive(TemporalModel(stack, {}), Drive(log, 0)).kept;
  EXPECT_NEAR(kept.after_offset, std::sqrt((1.0 / 4) / (1.0 / 2)), 0.005);
  EXPECT_NEAR(kept.after_linear, std::sqrt((1.0 / 16) / (1.0 / 2)), 0.005);
  EXPECT_NEAR(kept.after_cubic, std::sqrt((9.0 / 256) / (1.0 / 2)), 0.005);
}

// The standard error of an amplitude beside free polynomials, from the
// covariance of the whole least squares design; bins and lag written anew.
double KeptOfLag(const Steps& steps, double seconds, double tau_s, int degree) {
  const int num = static_cast<int>(std::lround(8 * seconds));
  Eigen::MatrixXd design(num, degree + 2);
  for (int i = 0; i < num; ++i) {
    design(i, 0) = testing::LagOfSteps(steps, i / 8.0, tau_s, 2);
    for (int k = 0; k <= degree; ++k) design(i, k + 1) = std::pow(2.0 * i / num - 1, k);
  }
  const double alone = 1 / design.col(0).norm();
  return alone / std::sqrt((design.transpose() * design).inverse()(0, 0));
}

// Kinds of source are mixtures of lags between that of a small chip and that of
// a part on the other side: a middling one lies between.
TEST(Identifiability, LiesBetweenThatOfAQuickAndOfASlowSource) {
  for (const Steps& steps : {kStep, kStairs, kAlternating}) {
    const KeptShare kept = Judged(steps, 40).kept;
    const double shares[] = {kept.after_offset, kept.after_linear, kept.after_cubic};
    const int degrees[] = {0, 1, 3};
    for (int i = 0; i < 3; ++i) {
      double least = 1;
      double most = 0;
      for (const double tau_s : {0.5, 1.5, 5.0, 15.0}) {
        const double share = KeptOfLag(steps, 40, tau_s, degrees[i]);
        least = std::min(least, share);
        most = std::max(most, share);
      }
      EXPECT_GT(shares[i], least) << steps.size() << " " << degrees[i];
      EXPECT_LT(shares[i], most) << steps.size() << " " << degrees[i];
    }
  }
}

TEST(Identifiability, FallsWithEveryFreedomOfDrift) {
  for (const Steps& steps : {kStep, kStairs, kAlternating}) {
    const KeptShare kept = Judged(steps, 40).kept;
    EXPECT_GT(kept.after_offset, kept.after_linear);
    EXPECT_GT(kept.after_linear, kept.after_cubic);
    EXPECT_GT(kept.after_cubic, 0);
    EXPECT_LT(kept.after_offset, 1);
  }
}

TEST(Identifiability, KnowsACurrentThatOnlyRises) {
  const Identifiability stairs = Judged(kStairs, 40);
  EXPECT_TRUE(stairs.only_rises);
  EXPECT_FALSE(stairs.no_rest);
  EXPECT_GT(stairs.heat_ratio, 2.5);
  EXPECT_TRUE(Says(stairs, "only rises")) << stairs.advice;
  EXPECT_TRUE(Says(stairs, "times the heat")) << stairs.advice;
  EXPECT_TRUE(Says(stairs, "end at zero")) << stairs.advice;
}

// A steady rise of the heat from the first frame to the last, and drift, are one.
TEST(Identifiability, OfARampIsHopeless) {
  Steps ramp;
  for (int i = 0; i < 200; ++i) ramp.emplace_back(0.2 * i, std::sqrt((i + 1) / 200.0));
  const Identifiability found = Judged(ramp, 40);
  EXPECT_LT(found.kept.after_cubic, 0.01);
  EXPECT_TRUE(Says(found, "hardly")) << found.advice;
}

TEST(Identifiability, PraisesAlternation) {
  const Identifiability found = Judged(kAlternating, 40);
  EXPECT_NEAR(found.heat_ratio, 1, 0.03);
  EXPECT_NEAR(found.kept.after_cubic, found.if_alternated.after_cubic, 0.02);
  EXPECT_FALSE(found.only_rises);
  EXPECT_TRUE(found.advice.empty()) << found.advice;
}

TEST(Identifiability, GainsByARestAtTheEnd) {
  const Identifiability without = Judged(kStairs, 40);
  EXPECT_LT(without.heat_ratio_cubic_if_ended_at_zero, 0.85 * without.heat_ratio_cubic);
  const Identifiability with = Judged({{4, 1}, {9.6, 2}, {15.2, 3}, {32, 0}}, 40);
  // The levels of `kStairs` in four fifths of the time.
  EXPECT_NEAR(with.heat_ratio_cubic,
              without.heat_ratio_cubic_if_ended_at_zero,
              0.05 * with.heat_ratio_cubic);
  EXPECT_FALSE(with.only_rises);
}

TEST(Identifiability, MissesTheBaseline) {
  const Identifiability found = Judged({{-1, 1}, {20, 2}}, 40);
  EXPECT_TRUE(found.no_rest);
  EXPECT_GT(found.heat_ratio, 1.5);
}

// Where the picture hardly drifts the stairs cost little heat; that slow warming
// looks alike is still said, without a number.
TEST(Identifiability, TakesDriftAsTheModelLearnedIt) {
  const Stack stack = Frames(40);
  TemporalModel model = TemporalModel::OffsetAlone(stack);
  const Drive drive(testing::StepLog(kStairs, 40), 0);
  const Identifiability calm = JudgeDrive(model, drive);
  EXPECT_NEAR(calm.kept.after_model, calm.kept.after_offset, 1e-6);
  EXPECT_LT(calm.heat_ratio, 1.5);
  EXPECT_GT(calm.heat_ratio_cubic, 2.5);
  EXPECT_TRUE(Says(calm, "only rises")) << calm.advice;
  EXPECT_FALSE(Says(calm, "times the heat")) << calm.advice;
  const Identifiability cubic = Judged(kStairs, 40);
  EXPECT_NEAR(cubic.heat_ratio, cubic.heat_ratio_cubic, 1e-6 * cubic.heat_ratio);
}

// Only the course counts, not the amperes; nor how the frames were folded.
TEST(Identifiability, IsFreeOfScaleAndFolding) {
  const Identifiability one = Judged(kStairs, 40);
  const Identifiability ten = Judged({{5, 10}, {12, 20}, {19, 30}}, 40);
  EXPECT_NEAR(one.heat_ratio, ten.heat_ratio, 1e-6);
  const Stack fine = testing::StillStack({8, 8}, 320, 1, 0.125);
  const Identifiability unfolded =
      JudgeDrive(TemporalModel(fine, {}), Drive(testing::StepLog(kStairs, 40), 0));
  EXPECT_NEAR(unfolded.kept.after_cubic, one.kept.after_cubic, 0.03 * one.kept.after_cubic);
}

// Three seconds are judged, too; nobody is told to switch twice a second.
TEST(Identifiability, AsksForALongerFilmWhereLevelsWouldBeTooShort) {
  const Stack stack = testing::StillStack({8, 8}, 24, 1, 0.125);
  const Identifiability found =
      JudgeDrive(TemporalModel(stack, {}), Drive(testing::StepLog({{1, 1}}, 3), 0));
  EXPECT_LT(found.kept.after_cubic, 0.1);
  EXPECT_TRUE(Says(found, "Film for longer")) << found.advice;
}

}  // namespace
}  // namespace ohmglow
