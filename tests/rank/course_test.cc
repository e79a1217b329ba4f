// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/course.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>

#include "heat/plate.h"
#include "rank/exponent_profile.h"
#include "support/plate_film.h"

namespace ohmglow {
namespace {

using testing::Steps;

// Three levels, so that the exponent shows.
const Steps kSteps = {{5, 0.7}, {15, 1.4}, {25, 2.0}, {35, 0.0}};
constexpr double kNoiseK = 0.05;

class CourseModelTest : public ::testing::Test {
 protected:
  CourseModelTest()
      : stack_(testing::StillStack({40, 40}, 90, 4, 0.125)),  // 45 s
        model_(stack_, {}),
        drive_(testing::StepLog(kSteps, 45), 0),
        sources_(MakeSourceCourses(Plate{})),
        courses_(model_, MakeHeatShapes(model_, drive_, sources_)),
        exponents_(model_, ShapesOfExponents(model_, drive_, sources_)) {}

  // Rise of a place right over a source in a board of finite cells, largest
  // rise 1 K.
  Eigen::VectorXd Heated(double exponent, bool far) const {
    Stack stack = testing::StillStack({40, 40}, 90, 4, 0.125, 0);
    testing::PlateSource source;
    source.exponent = exponent;
    source.far = far;
    source.center_px = {20, 20};
    testing::AddPlate(source, kSteps, stack);
    Eigen::VectorXd rise(stack.size());
    for (int b = 0; b < rise.size(); ++b)
      rise(b) = stack.bins_k[static_cast<std::size_t>(b)](20, 20);
    return rise / rise.maxCoeff();
  }

  Eigen::VectorXd At(const std::function<double(double)>& rise) const {
    Eigen::VectorXd course(model_.num_bins());
    for (int b = 0; b < course.size(); ++b)
      course(b) = rise(stack_.time_s[static_cast<std::size_t>(b)]);
    return course;
  }

  // Fitted in the noise of one pixel.
  CourseFit Fit(const Eigen::VectorXd& rise, unsigned seed = 1) const {
    std::mt19937 random(seed);
    std::normal_distribution<double> noise(0, kNoiseK);
    Eigen::VectorXd course = model_.Weighted(rise);
    for (double& value : course) value += noise(random);
    const Eigen::VectorXd projected = model_.Project(course);
    CourseFit fit = courses_.Fit(projected, kNoiseK);
    const ExponentProfile::Exponent exponent = exponents_.Fit(projected, kNoiseK);
    fit.exponent = exponent.value;
    fit.exponent_sigma = exponent.sigma;
    return fit;
  }

  Stack stack_;
  TemporalModel model_;
  Drive drive_;
  SourceCourses sources_;
  CourseModel courses_;
  ExponentProfile exponents_;
};

TEST_F(CourseModelTest, TellsOhmicLossFromAJunction) {
  const CourseFit ohmic = Fit(Heated(2, false));
  EXPECT_LT(ohmic.exponent_sigma, 0.3);
  EXPECT_NEAR(ohmic.exponent, 2, 0.3);
  EXPECT_LT(ohmic.log_junction, -2);
  const CourseFit junction = Fit(Heated(1, false));
  EXPECT_LT(junction.exponent_sigma, 0.3);
  EXPECT_NEAR(junction.exponent, 1, 0.3);
  EXPECT_GT(junction.log_junction, 2);
}

// Heat that follows the steps, from either face, is explained by nothing else.
TEST_F(CourseModelTest, HoldsHeatOfTheSupplyAgainstItsRivals) {
  for (const bool far : {false, true}) {
    const CourseFit fit = Fit(Heated(2, far));
    EXPECT_LT(fit.log_by_itself, -5) << far;
    EXPECT_LT(fit.log_smooth, -5) << far;
  }
}

TEST_F(CourseModelTest, GivesHeatFromTheOtherFaceTheLongerLag) {
  EXPECT_GT(Fit(Heated(2, true)).lag_s, 1.5 * Fit(Heated(2, false)).lag_s);
}

TEST_F(CourseModelTest, KnowsWhatSwitchesByItself) {
  const CourseFit fit =
      Fit(At([](double t) { return t > 19 ? -std::expm1(-(t - 19) / 1.5) : 0.0; }));
  EXPECT_GT(fit.log_by_itself, 5);
}

TEST_F(CourseModelTest, KnowsAWanderingReflection) {
  const CourseFit fit =
      Fit(At([](double t) { return std::cos(0.21 * t + 0.5) + 0.4 * std::cos(0.3 * t); }));
  EXPECT_GT(fit.log_smooth, 5);
}

// Amplitude over its standard error: the norm of the projected course in noise.
TEST_F(CourseModelTest, MeasuresTheSignalToNoiseRatio) {
  const Eigen::VectorXd rise = 0.3 * Heated(2, false);
  const double expected = model_.Project(model_.Weighted(rise)).norm() / kNoiseK;
  EXPECT_NEAR(Fit(rise).snr, expected, 2.5);
  EXPECT_LT(Fit(0 * rise).snr, 4.5);
}

// 2.5 standard errors cover nearly all.
TEST_F(CourseModelTest, StatesTheExponentsErrorHonestly) {
  const Eigen::VectorXd rise = 0.4 * Heated(2, false);
  int outside = 0;
  for (unsigned seed = 0; seed < 24; ++seed) {
    const CourseFit fit = Fit(rise, seed);
    if (std::abs(fit.exponent - 2) > 2.5 * fit.exponent_sigma) ++outside;
  }
  EXPECT_LE(outside, 3);
}

// Strong heat of which no kind knows the course (a second, slow body beside
// the part): what is left over is no white noise of ninety bins.
TEST_F(CourseModelTest, OwnsUpWhereNoKindKnowsTheCourse) {
  for (const double exponent : {1.0, 1.5, 2.0, 2.5}) {
    for (const double slow : {-0.3, 0.3}) {
      const Eigen::VectorXd quick = Heated(exponent, false);
      const Eigen::VectorXd heat =
          quick + slow * At([&](double t) { return testing::LagOfSteps(kSteps, t, 25, 2); });
      const CourseFit fit = Fit(20 * heat / heat.maxCoeff());
      EXPECT_LT(std::abs(fit.exponent - exponent), 2 * fit.exponent_sigma)
          << exponent << ' ' << slow << ": " << fit.exponent << " +- " << fit.exponent_sigma;
    }
  }
}

TEST(SpotCourse, KeepsTheNoiseOfOnePixelAndSkipsUnseenOnes) {
  const cv::Size size(40, 40);
  Eigen::MatrixXf courses(200, size.area());
  std::mt19937 random(9);
  std::normal_distribution<float> noise(0, 0.05F);
  for (float& value : courses.reshaped()) value = noise(random);
  Mask seen(size, static_cast<unsigned char>(255));
  const Eigen::VectorXd middle = SpotCourse(courses, seen, {20.3, 19.6}, 1.0, 8);
  EXPECT_NEAR(middle.norm() / std::sqrt(200), 0.05, 0.008);
  // At a corner, a quarter of the pixels: the same scale.
  EXPECT_NEAR(SpotCourse(courses, seen, {0, 0}, 1.0, 8).norm() / std::sqrt(200), 0.05, 0.012);
  for (int y = 17; y < 23; ++y) {
    for (int x = 17; x < 20; ++x) {
      seen(y, x) = 0;
      courses.col(y * size.width + x).setConstant(1e6F);
    }
  }
  EXPECT_LT(SpotCourse(courses, seen, {20.3, 19.6}, 1.0, 8).norm(), 2);
}

TEST(SpotCourse, DoesNotHeedWhatAllTheSurroundingsShare) {
  const cv::Size size(40, 40);
  Eigen::MatrixXf courses = Eigen::MatrixXf::Constant(10, size.area(), 3.0F);
  const Mask seen(size, static_cast<unsigned char>(255));
  EXPECT_LT(SpotCourse(courses, seen, {20, 20}, 1.0, 8).norm(), 1e-3);
  courses.col(20 * size.width + 20).array() += 1.0F;
  EXPECT_GT(SpotCourse(courses, seen, {20, 20}, 1.0, 8).minCoeff(), 0.3);
}

}  // namespace
}  // namespace ohmglow
