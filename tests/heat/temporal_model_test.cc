// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/temporal_model.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>

#include "support/scene.h"

namespace ohmglow {
namespace {

using testing::Steps;
using testing::StillStack;

const Steps kSteps = {{5, 1.0}, {15, 2.0}, {25, 0.0}};

// 64 bins of 5 frames at 8 Hz: 40 s, with a shutter event and a moving hand.
Stack MovingStack() {
  Stack stack = StillStack({6, 6}, 64, 5, 0.125);
  for (int b = 0; b < stack.size(); ++b) {
    const auto i = static_cast<std::size_t>(b);
    if (b >= 30) stack.segment[i] = 1;
    stack.poses[i] = {{std::sin(0.7 * b), 0.5 * std::cos(1.3 * b), 0, 1}};
  }
  return stack;
}

Eigen::VectorXd CourseOf(const Stack& stack, const std::function<double(std::size_t)>& at) {
  Eigen::VectorXd course(stack.size());
  for (int b = 0; b < stack.size(); ++b) course(b) = at(static_cast<std::size_t>(b));
  return course;
}

TEST(TemporalModel, TakesOutWhatIsNoHeatExactly) {
  const Stack stack = MovingStack();
  const TemporalModel model(stack, {});
  const auto left = [&](const std::function<double(std::size_t)>& at) {
    return model.Project(model.Weighted(CourseOf(stack, at))).norm();
  };
  EXPECT_LT(left([](std::size_t) { return 300; }), 1e-8);
  EXPECT_LT(left([&](std::size_t b) { return stack.segment[b] == 0 ? 2 : -3; }), 1e-10);
  EXPECT_LT(left([&](std::size_t b) { return 1e-3 * std::pow(stack.time_s[b] - 9, 3); }), 1e-9);
  EXPECT_LT(left([&](std::size_t b) { return 5 * stack.poses[b][0].dx_px; }), 1e-10);
  EXPECT_LT(left([&](std::size_t b) { return 5 * stack.poses[b][0].dy_px; }), 1e-10);
  // A fourth degree is more than the drift has, and heat must stay.
  EXPECT_GT(left([&](std::size_t b) { return 1e-4 * std::pow(stack.time_s[b] - 20, 4); }), 1);
  const Drive drive(testing::StepLog(kSteps, 40), 0);
  EXPECT_GT(model.ProjectedLag(drive, 1, 2).norm(), 1);
}

TEST(TemporalModel, CountsOnlyNuisancesThatAreThere) {
  Stack stack = StillStack({6, 6}, 64, 5, 0.125);
  EXPECT_EQ(TemporalModel(stack, {}).num_nuisances(), 1 + 3);  // offset, cubic drift
  HeatOptions linear;
  linear.drift_order = 1;
  EXPECT_EQ(TemporalModel(stack, linear).num_nuisances(), 2);
  EXPECT_EQ(TemporalModel(MovingStack(), {}).num_nuisances(), 2 + 3 + 2);
  // A hundredth of a pixel on a tripod teaches nothing.
  for (std::size_t b = 0; b < stack.poses.size(); ++b) {
    stack.poses[b] = {{b % 2 ? 0.01 : -0.01, 0, 0, 1}};
  }
  EXPECT_EQ(TemporalModel(stack, {}).num_nuisances(), 4);
}

TEST(TemporalModel, ProjectsOnceAndForAllAndAlikeInBothForms) {
  const TemporalModel model(MovingStack(), {});
  std::mt19937 random(3);
  std::normal_distribution<double> normal;
  Eigen::VectorXd course(model.num_bins());
  for (double& value : course) value = normal(random);
  const Eigen::VectorXd once = model.Project(course);
  EXPECT_LT((model.Project(once) - once).norm(), 1e-12);
  Eigen::MatrixXf columns = course.cast<float>().replicate(1, 3);
  model.ProjectColumns(columns);
  EXPECT_LT((columns.col(2).cast<double>() - once).norm(), 1e-5);
}

// Bins of unlike length: the weight keeps every entry's noise that of one frame.
TEST(TemporalModel, KeepsTheNoiseOfOneFrameInEveryBin) {
  Stack stack = StillStack({100, 80}, 24, 4, 0.125);
  for (const std::size_t b : {3U, 10U, 11U}) {
    stack.frame_times_s[b].resize(1);
    stack.num_frames[b] = 1;
  }
  std::mt19937 random(11);
  testing::AddNoise(random, 0.05, stack);
  const TemporalModel model(stack, {});
  for (int b = 0; b < stack.size(); ++b) {
    const Image rest(stack.bins_k[static_cast<std::size_t>(b)] - 300);
    EXPECT_NEAR(std::sqrt(rest.dot(rest) / 8000) * model.weight()(b), 0.05, 0.002) << b;
  }
}

TEST(TemporalModel, AveragesTheLagOverEachBinsFrames) {
  const Stack stack = StillStack({6, 6}, 16, 20, 0.125);  // Bins of 2.5 s.
  const TemporalModel model(stack, {});
  const Drive drive(testing::StepLog(kSteps, 40), 0);
  const Eigen::VectorXd lag = model.BinnedLag(drive, 1.5, 2);
  double curved = 0;
  for (int b = 0; b < stack.size(); ++b) {
    const auto i = static_cast<std::size_t>(b);
    double mean = 0;
    for (const double t : stack.frame_times_s[i]) {
      mean += testing::LagOfSteps(kSteps, t, 1.5, 2) / 20;
    }
    EXPECT_NEAR(lag(b), mean, 1e-5);
    curved =
        std::max(curved, std::abs(mean - testing::LagOfSteps(kSteps, stack.time_s[i], 1.5, 2)));
  }
  EXPECT_GT(curved, 0.05);  // The value at the bin's middle would be wrong.
}

TEST(TemporalModel, FollowsManyLagsAndExponentsAtOnce) {
  const Stack stack = StillStack({6, 6}, 16, 20, 0.125);
  const TemporalModel model(stack, {});
  const Drive drive(testing::StepLog(kSteps, 40), 0);
  const Eigen::VectorXd lags_s = Eigen::Vector4d(0.05, 0.7, 3, 60);
  const std::vector<double> exponents = {1, 1.5, 2};
  const std::vector<Eigen::MatrixXd> lags = model.BinnedLags(drive, lags_s, exponents);
  ASSERT_EQ(lags.size(), exponents.size());
  for (std::size_t e = 0; e < exponents.size(); ++e) {
    for (Eigen::Index i = 0; i < lags_s.size(); ++i) {
      for (int b = 0; b < stack.size(); ++b) {
        double mean = 0;
        for (const double t : stack.frame_times_s[static_cast<std::size_t>(b)]) {
          mean += testing::LagOfSteps(kSteps, t, lags_s(i), exponents[e]) / 20;
        }
        EXPECT_NEAR(lags[e](b, i), mean, 1e-4) << exponents[e] << ' ' << lags_s(i) << ' ' << b;
      }
    }
  }
  const Eigen::MatrixXd projected = model.ProjectedLags(drive, lags_s, 2);
  for (Eigen::Index i = 0; i < lags_s.size(); ++i) {
    EXPECT_LT((projected.col(i) - model.ProjectedLag(drive, lags_s(i), 2)).norm(), 1e-12);
  }
}

// 50 mK a frame, 160 frames off and 160 on: noise of the difference 2 sigma /
// sqrt(N) = 5.590 mK. A quick source, an offset alone given away.
TEST(TemporalModel, ReachesTheIdealNoiseOfATwoLevelDesign) {
  Stack stack = StillStack({6, 6}, 64, 5, 0.125);
  const TemporalModel model(stack, {});
  const Drive drive(testing::StepLog({{19.99, 1.0}}, 40), 0);
  const Eigen::VectorXd step = model.Weighted(model.BinnedLag(drive, 1e-4, 2));
  const Eigen::VectorXd offset = model.weight().normalized();
  const Eigen::VectorXd centred = step - offset * offset.dot(step);
  EXPECT_NEAR(50 / centred.norm(), 5.590, 0.01);
  // Cubic drift costs: a step is much like a cubic, never a gain.
  EXPECT_GT(50 / model.ProjectedLag(drive, 1e-4, 2).norm(), 5.590);
}

// NIST/ITL Statistical Reference Datasets, Norris: certified residual
// standard deviation of y against x with an intercept. Offset and
// linear drift over "times" x are that regression.
TEST(TemporalModel, LeavesOfNorrisTheCertifiedResidual) {
  const std::vector<double> x = {0.2,   337.4, 118.2, 884.6, 10.1,  226.5, 666.3, 996.3, 448.6,
                                 777.0, 558.2, 0.4,   0.6,   775.5, 666.9, 338.0, 447.5, 11.6,
                                 556.0, 228.1, 995.8, 887.6, 120.2, 0.3,   0.3,   556.8, 339.1,
                                 887.2, 999.0, 779.0, 11.1,  118.3, 229.2, 669.1, 448.9, 0.5};
  const std::vector<double> y = {0.1,   338.8, 118.1, 888.0, 9.2,   228.1, 668.5, 998.5, 449.1,
                                 778.9, 559.2, 0.3,   0.1,   778.1, 668.8, 339.3, 448.9, 10.8,
                                 557.7, 228.3, 998.0, 888.8, 119.6, 0.3,   0.6,   557.6, 339.3,
                                 888.0, 998.5, 778.9, 10.2,  117.6, 228.9, 668.4, 449.2, 0.2};
  Stack stack = StillStack({6, 6}, 36, 1, 0.125);
  HeatOptions options;
  options.drift_order = 1;
  for (std::size_t b = 0; b < x.size(); ++b) stack.time_s[b] = x[b];
  const TemporalModel model(stack, options);
  ASSERT_EQ(model.num_nuisances(), 2);
  const Eigen::VectorXd rest =
      model.Project(model.Weighted(Eigen::Map<const Eigen::VectorXd>(y.data(), 36)));
  EXPECT_NEAR(rest.norm() / std::sqrt(34.0), 0.884796396144373, 1e-10);
}

}  // namespace
}  // namespace ohmglow
