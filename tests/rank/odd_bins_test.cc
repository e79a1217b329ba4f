// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/odd_bins.h"

#include <gtest/gtest.h>

#include <random>

#include "support/scene.h"

namespace ohmglow {
namespace {

using testing::Steps;

constexpr int kBins = 64;
const Steps kSteps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};
// From 0 to 2 A and back within less than a bin of 0.625 s.
const Steps kPulse = {{20, 2.0}, {20.5, 0.0}};

class OddBinsTest : public ::testing::Test {
 protected:
  // Heat of the steps as the bins see it, 1 at the most, without offset.
  [[nodiscard]] Eigen::VectorXd HeatOf(const Steps& steps, double tau_s) const {
    return model_.ProjectedLag(DriveOf(steps), tau_s, 2);
  }
  [[nodiscard]] static Drive DriveOf(const Steps& steps) {
    return Drive(testing::StepLog(steps, 40), 0);
  }
  [[nodiscard]] OddBins Under(const Steps& steps) const { return {model_, DriveOf(steps)}; }

  Stack stack_ = testing::StillStack({8, 8}, kBins, 5, 0.125);
  TemporalModel model_ = TemporalModel::OffsetAlone(stack_);
};

TEST_F(OddBinsTest, AreNoneInHeatOfAnyLag) {
  for (const double tau_s : {0.05, 0.3, 1.5, 6.0, 40.0}) {
    EXPECT_TRUE(Under(kSteps).Mend(HeatOf(kSteps, tau_s), 1e-4).bins.empty()) << tau_s;
  }
}

TEST_F(OddBinsTest, AreNoneInNoise) {
  std::mt19937 random(3);
  std::normal_distribution<double> normal(0, 1);
  const OddBins odd = Under(kSteps);
  for (int n = 0; n < 200; ++n) {
    const Eigen::VectorXd noise =
        Eigen::VectorXd::NullaryExpr(kBins, [&] { return normal(random); });
    EXPECT_TRUE(odd.Mend(noise, 1).bins.empty());
  }
}

TEST_F(OddBinsTest, AreNoneWhereTheSupplyItselfMakesAPulse) {
  const Eigen::VectorXd pulse = HeatOf(kPulse, 0.3);
  EXPECT_TRUE(Under(kPulse).Mend(pulse, 1e-4).bins.empty());
  EXPECT_FALSE(Under(kSteps).Mend(pulse, 1e-4).bins.empty());
}

TEST_F(OddBinsTest, AreBridgedByTheSoundOnesBesideThem) {
  const Eigen::VectorXd sound = HeatOf(kSteps, 3);
  Eigen::VectorXd spoiled = sound;
  for (const Eigen::Index bin : {20, 36, 37}) spoiled(bin) -= 0.7;
  const OddBins odd = Under(kSteps);
  const OddBins::Mended mended = odd.Mend(spoiled, 1e-4);
  EXPECT_EQ(mended.bins, (std::vector<Eigen::Index>{20, 36, 37}));
  EXPECT_LT((mended.course - sound).cwiseAbs().maxCoeff(), 0.02 * sound.cwiseAbs().maxCoeff());
}

// The two sound bins between an odd one and the step at 28 s (bin 44) stay as they are.
TEST_F(OddBinsTest, DoNotSpoilSoundOnesBesideAStep) {
  Eigen::VectorXd spoiled = HeatOf(kSteps, 1.5);
  spoiled(42) -= 1.2;
  EXPECT_EQ(Under(kSteps).Mend(spoiled, 1e-4).bins, std::vector<Eigen::Index>{42});
}

TEST_F(OddBinsTest, AreNoneWhereManyAre) {
  Eigen::VectorXd blinking = HeatOf(kSteps, 3);
  for (Eigen::Index bin = 5; bin < kBins; bin += 8) blinking(bin) += 2;
  EXPECT_TRUE(Under(kSteps).Mend(blinking, 1e-4).bins.empty());
}

// Long parts of a course are what the place does, not what went wrong.
TEST_F(OddBinsTest, AreNoMoreThanTwoInARow) {
  Eigen::VectorXd spoiled = HeatOf(kSteps, 3);
  spoiled.segment(34, 3).array() -= 0.7;
  EXPECT_TRUE(Under(kSteps).Mend(spoiled, 1e-4).bins.empty());
}

}  // namespace
}  // namespace ohmglow
