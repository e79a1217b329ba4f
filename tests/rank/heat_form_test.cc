// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/heat_form.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace ohmglow {
namespace {

constexpr double kRateHz = 8;
constexpr int kNumFrames = 160;

// A step at 4 s; the response of each lag, sampled: what a drive would give.
Eigen::VectorXd Step(double lag_s) {
  Eigen::VectorXd course(kNumFrames);
  for (int i = 0; i < kNumFrames; ++i) {
    course(i) = std::max(0.0, 1 - std::exp(-(i / kRateHz - 4) / lag_s));
  }
  return course;
}

Eigen::MatrixXd Lags() {
  Eigen::MatrixXd lags(kNumFrames, FormLags().size());
  for (Eigen::Index i = 0; i < lags.cols(); ++i) lags.col(i) = Step(FormLags()(i));
  return lags;
}

// A Gaussian spot over level ground, every ring with the same lag.
RingCourses Rings(double width_mm, double lag_s, double peak_k, double ground_k = 0) {
  constexpr int kNumRings = 26;
  const double sigma_mm = width_mm / std::sqrt(8 * std::log(2.0));
  RingCourses rings;
  rings.mean_k.resize(kNumFrames, kNumRings);
  rings.radius_mm.resize(kNumRings);
  rings.num_pixels.resize(kNumRings);
  for (int i = 0; i < kNumRings; ++i) {
    const double r_mm = 0.2 + 0.6 * i;
    const double shape = std::exp(-0.5 * r_mm * r_mm / (sigma_mm * sigma_mm));
    rings.mean_k.col(i) = (peak_k * shape + ground_k) * Step(lag_s);
    rings.radius_mm(i) = r_mm;
    rings.num_pixels(i) = i == 0 ? 1 : 6 * i;
  }
  return rings;
}

TEST(MeasureForm, ReadsWidthAndHalfTimeOfASpot) {
  for (const double width_mm : {3.0, 8.0}) {
    for (const double lag_s : {0.25, 2.0}) {
      const HeatForm form = MeasureForm(Rings(width_mm, lag_s, 5), Lags(), 0.05);
      ASSERT_TRUE(form.Known());
      // The middle is the mean of two rings, so half its height lies further out.
      EXPECT_NEAR(form.width_mm, width_mm, 0.17 * width_mm + 0.05);
      // 1 - exp(-t/lag) at half of its value after 5 s.
      const double half_s = -lag_s * std::log(0.5 + 0.5 * std::exp(-5 / lag_s));
      EXPECT_NEAR(form.half_s, half_s, 0.1 * half_s);
      EXPECT_LT(form.log_sigma, 0.05);
    }
  }
}

TEST(MeasureForm, LeavesOutWarmSurroundings) {
  const HeatForm alone = MeasureForm(Rings(5, 1, 3), Lags(), 0.05);
  const HeatForm raised = MeasureForm(Rings(5, 1, 3, 2), Lags(), 0.05);
  EXPECT_NEAR(raised.width_mm, alone.width_mm, 0.05);
  EXPECT_GT(raised.rise_k, alone.rise_k + 1);  // The rise itself is the whole one.
}

TEST(MeasureForm, KnowsNothingOfWhatDoesNotWarm) {
  EXPECT_FALSE(MeasureForm(Rings(5, 1, -3), Lags(), 0.05).Known());
  EXPECT_FALSE(MeasureForm(Rings(5, 1, 0), Lags(), 0.05).Known());
  RingCourses few = Rings(5, 1, 3);
  few.mean_k.conservativeResize(Eigen::NoChange, 2);
  few.radius_mm.conservativeResize(2);
  few.num_pixels.conservativeResize(2);
  EXPECT_FALSE(MeasureForm(few, Lags(), 0.05).Known());
}

TEST(MeasureForm, StatesNoiseThatCoversItsErrors) {
  std::mt19937 random(7);
  std::normal_distribution<double> gauss;
  constexpr double kNoiseK = 0.5;
  const double exact_mm = MeasureForm(Rings(6, 1, 2), Lags(), kNoiseK).width_mm;
  int inside = 0;
  constexpr int kTries = 20;
  for (int k = 0; k < kTries; ++k) {
    RingCourses rings = Rings(6, 1, 2);
    for (Eigen::Index i = 0; i < rings.mean_k.cols(); ++i) {
      // Neighbouring pixels share blur: four count as one.
      const double sigma_k = 2 * kNoiseK / std::sqrt(rings.num_pixels(i));
      for (Eigen::Index j = 0; j < kNumFrames; ++j) rings.mean_k(j, i) += sigma_k * gauss(random);
    }
    const HeatForm form = MeasureForm(rings, Lags(), kNoiseK);
    inside += std::abs(std::log(form.width_mm / exact_mm)) < 2 * 1.5 * form.log_sigma ? 1 : 0;
  }
  EXPECT_GE(inside, kTries * 8 / 10);
}

}  // namespace
}  // namespace ohmglow
