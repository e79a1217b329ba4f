// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_model.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "heat/response.h"
#include "support/plate_film.h"

namespace ohmglow {
namespace {

using testing::PlateSource;
using testing::Steps;

const cv::Size kSize(96, 72);
const Steps kSteps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};
constexpr double kNoiseK = 0.03;
constexpr SpotModel::View kView{0.5, 12, kNoiseK, false};

// A board heated by the simulator's finite cells, in noise, and the model to
// fit it with. Nothing of the model's closed forms took part in the picture.
struct Scene {
  explicit Scene(const PlateSource& source, bool sheet_known = false)
      : stack(testing::StillStack(kSize, 80, 4, 0.125)),  // 40 s
        temporal(stack, {}),
        drive(testing::StepLog(kSteps, 40), 0),
        spots(temporal, drive, Prior(source, sheet_known)) {
    std::mt19937 random(17);
    testing::AddNoise(random, kNoiseK, stack);
    testing::AddPlate(source, kSteps, stack);
    Eigen::MatrixXf courses = PixelCourses(stack, temporal);
    RemoveCommonOffset(courses, temporal, drive, stack.seen);
    modes = spots.ToModes(courses);
    center_px = source.center_px;
  }

  static PlatePrior Prior(const PlateSource& source, bool sheet_known) {
    PlatePrior prior;
    prior.plate = {
        source.sheet_w_k, source.capacity_j_m2k, source.film_w_m2k, 1e-3 * source.thickness_mm};
    prior.sheet_known = sheet_known;
    prior.blur_px = 0.3;  // No optics here, only the pixel.
    return prior;
  }

  [[nodiscard]] SpotFit Fit(const SpotModel::View& view = kView) const {
    return spots.Fit(modes, stack.seen, center_px, view);
  }

  Stack stack;
  TemporalModel temporal;
  Drive drive;
  SpotModel spots;
  Eigen::MatrixXf modes;
  Point center_px;
};

TEST(SpotModel, MeasuresThePowerOfASourceOnEitherFace) {
  for (const double sheet_w_k : {0.004, 0.015}) {
    for (const bool far : {false, true}) {
      PlateSource source;
      source.power_w = 0.3;
      source.sheet_w_k = sheet_w_k;
      source.far = far;
      const SpotFit fit = Scene(source).Fit();
      EXPECT_NEAR(fit.power_w, 0.3, 0.09) << sheet_w_k << (far ? " far" : " near");
      EXPECT_LT(std::abs(std::log(fit.power_w / 0.3)), 2.5 * fit.power_log_sigma);
    }
  }
}

// With so little copper that the picture's rim stays cold; with more of it, its
// warmth comes back into the fit and the far side needs a wider picture.
TEST(SpotModel, TellsTheFaceOfTheSource) {
  for (const double sheet_w_k : {0.003, 0.005}) {
    for (const bool far : {false, true}) {
      PlateSource source;
      source.power_w = 0.3;
      source.sheet_w_k = sheet_w_k;
      source.far = far;
      const SpotFit fit = Scene(source).Fit();
      const double for_far = fit.far_log_likelihood - fit.near_log_likelihood;
      EXPECT_GT(far ? for_far : -for_far, 1) << (far ? "far " : "near ") << sheet_w_k;
      EXPECT_EQ(std::max(fit.near_log_likelihood, fit.far_log_likelihood), 0);
    }
  }
}

TEST(SpotModel, GivesPowerInProportion) {
  PlateSource source;
  source.power_w = 0.1;
  const double weak_w = Scene(source).Fit().power_w;
  source.power_w = 1;
  EXPECT_NEAR(Scene(source).Fit().power_w / weak_w, 10, 1.5);
}

TEST(SpotModel, FindsTheSheetConductanceWithinItsSpread) {
  for (const double sheet_w_k : {0.004, 0.03}) {
    PlateSource source;
    source.sheet_w_k = sheet_w_k;
    const double fitted = Scene(source).Fit().sheet_conductance_w_k.value;
    EXPECT_NEAR(std::log(fitted / sheet_w_k), 0, std::log(2.0)) << sheet_w_k;
  }
  PlateSource source;
  const double known = Scene(source, true).Fit().sheet_conductance_w_k.value;
  EXPECT_NEAR(std::log(known / source.sheet_w_k), 0, 0.23);  // 0.8 .. 1.25 of what is given.
}

// Away from what is thought before looking, the heat of a watt tells the capacity;
// the film, in 40 s, hardly: its interval stays the prior's.
TEST(SpotModel, TellsThePlateWithItsError) {
  PlateSource source;
  source.power_w = 1;
  source.sheet_w_k = 0.01;
  const Scene scene(source);
  PlatePrior prior = Scene::Prior(source, false);
  prior.bare_laminate = true;  // A fifth more is expected than there is.
  const SpotModel spots(scene.temporal, scene.drive, prior);
  const auto fit_plate = [&](const SpotFit& fit) {
    return spots.FitPlate(scene.modes, scene.stack.seen, scene.center_px, kView, fit);
  };
  const auto plate = fit_plate(spots.Fit(scene.modes, scene.stack.seen, scene.center_px, kView));
  ASSERT_TRUE(plate);
  const auto sigma = [](const Estimate& e) { return std::log(e.high / e.low) / 3.92; };
  const auto off = [](const Estimate& e, double truth) { return std::log(e.value / truth); };
  EXPECT_LT(std::abs(off(plate->sheet_conductance_w_k, 0.01)),
            2.5 * sigma(plate->sheet_conductance_w_k));
  EXPECT_LT(sigma(plate->sheet_conductance_w_k), 0.3);
  EXPECT_LT(std::abs(off(plate->heat_capacity_j_m2k, 3200)),
            2.5 * sigma(plate->heat_capacity_j_m2k));
  EXPECT_LT(std::abs(off(plate->film_w_m2k, 20)), 2.5 * sigma(plate->film_w_m2k));
  EXPECT_GT(sigma(plate->film_w_m2k), 0.1);

  EXPECT_FALSE(fit_plate(SpotFit()));
}

// The same watts by a junction read the same; by the wrong law they would not.
TEST(SpotModel, FollowsAJunctionWhenTold) {
  PlateSource source;
  source.power_w = 0.3;
  const double ohmic_w = Scene(source).Fit().power_w;
  source.exponent = 1;
  const Scene scene(source);
  SpotModel::View view = kView;
  view.junction = true;
  EXPECT_NEAR(scene.Fit(view).power_w / ohmic_w, 1, 0.1);
  EXPECT_GT(scene.Fit().misfit, 1.2 * scene.Fit(view).misfit);
}

TEST(SpotModel, SeesNothingWhereThereIsNothing) {
  PlateSource source;
  source.power_w = 0;
  // 12 mm of noise alone: far below what the detector would let through.
  EXPECT_LT(Scene(source).Fit().power_w, 0.02);
}

TEST(SpotModel, TakesOutTheSpotItFitted) {
  PlateSource source;
  source.power_w = 0.3;
  Scene scene(source);
  const double before = scene.modes.squaredNorm();
  const SpotFit fit = scene.Fit();
  scene.spots.AddSpot(fit, scene.center_px, 0.5, -1, kSize, scene.modes);
  EXPECT_LT(scene.modes.squaredNorm(), 0.1 * before);
  scene.spots.AddSpot(fit, scene.center_px, 0.5, 1, kSize, scene.modes);
  EXPECT_NEAR(scene.modes.squaredNorm(), before, 1e-3 * before);
}

}  // namespace
}  // namespace ohmglow
