// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock_timing.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "base/decompose.h"

namespace ohmglow {
namespace {

constexpr int kRounds = 3;
constexpr double kDifferenceS = 0.1;
constexpr double kLongestMoveS = 0.3;
// The pull to the middle of the gap in the log: this part of it, and this.
constexpr double kPullOfGap = 0.3;
constexpr double kPullS = 0.15;
// Beyond its gap a step may be seen by so much: the offset is not known yet.
constexpr double kBeyondGapS = 0.3;
constexpr double kUnseenS = 5;
// Steps are not sudden, and a frame takes its time.
constexpr double kLeastSigmaS = 0.02;

double PullWidth(const LogStep& step) { return kPullOfGap * (step.late_s - step.early_s) + kPullS; }

}  // namespace

StepTiming TimeSteps(const FineGrid& spots,
                     const std::vector<Eigen::Index>& kinds,
                     const std::vector<double>& weights,
                     const SourceCourses& sources,
                     const TemporalModel& model,
                     const SupplyLog& log,
                     const std::vector<LogStep>& steps,
                     double offset_s) {
  StepTiming out;
  for (const LogStep& step : steps) out.at_s.push_back(step.middle_s());
  const auto courses_with = [&](const std::vector<double>& at_s) {
    return CoursesOfKinds(sources, kinds, model, PlaceSteps(log, steps, at_s), offset_s);
  };
  const auto num = static_cast<Eigen::Index>(steps.size());
  Eigen::MatrixXd normal;
  for (int round = 0; round < kRounds; ++round) {
    const Eigen::MatrixXd base = courses_with(out.at_s);
    std::vector<Eigen::MatrixXd> slopes;
    for (std::size_t j = 0; j < steps.size(); ++j) {
      std::vector<double> later_s = out.at_s;
      std::vector<double> sooner_s = out.at_s;
      later_s[j] += kDifferenceS;
      sooner_s[j] -= kDifferenceS;
      slopes.emplace_back((courses_with(later_s) - courses_with(sooner_s)) / (2 * kDifferenceS));
    }
    normal = Eigen::MatrixXd::Zero(num, num);
    Eigen::VectorXd score = Eigen::VectorXd::Zero(num);
    for (Eigen::Index s = 0; s < base.cols(); ++s) {
      const Eigen::VectorXd course = spots.courses.col(s).cast<double>();
      const Eigen::VectorXd shape = base.col(s);
      const double square = std::max(shape.squaredNorm(), 1e-12);
      const double amplitude = std::max(0.0, course.dot(shape) / square);
      const Eigen::VectorXd rest = course - amplitude * shape;
      const double variance =
          (rest.squaredNorm() + static_cast<double>(spots.tremble(s))) / spots.degrees;
      Eigen::MatrixXd jacobian(shape.size(), num);
      for (Eigen::Index j = 0; j < num; ++j) {
        const Eigen::VectorXd slope = amplitude * slopes[static_cast<std::size_t>(j)].col(s);
        jacobian.col(j) = slope - shape * (shape.dot(slope) / square);
      }
      const double weight = weights[static_cast<std::size_t>(s)] / std::max(variance, 1e-12);
      normal += weight * jacobian.transpose() * jacobian;
      score += weight * jacobian.transpose() * rest;
    }
    Eigen::MatrixXd pulled = normal;
    for (Eigen::Index j = 0; j < num; ++j) {
      const auto at = static_cast<std::size_t>(j);
      const double pull = 1 / std::pow(PullWidth(steps[at]), 2);
      pulled(j, j) += pull;
      score(j) += (steps[at].middle_s() - out.at_s[at]) * pull;
    }
    const Eigen::VectorXd move = SolveSymmetric(pulled, score);
    if (!move.allFinite()) break;
    for (Eigen::Index j = 0; j < num; ++j) {
      const auto at = static_cast<std::size_t>(j);
      const double moved = out.at_s[at] + std::clamp(move(j), -kLongestMoveS, kLongestMoveS);
      out.at_s[at] =
          std::clamp(moved, steps[at].early_s - kBeyondGapS, steps[at].late_s + kBeyondGapS);
    }
  }
  const Eigen::MatrixXd covariance = Inverse(normal + 1e-6 * Eigen::MatrixXd::Identity(num, num));
  for (Eigen::Index j = 0; j < num; ++j) {
    const LogStep& step = steps[static_cast<std::size_t>(j)];
    const double variance_s2 = std::min(covariance(j, j), kUnseenS * kUnseenS);
    // The pull undone: what the frames alone say.
    const double stretch = 1 + variance_s2 / std::pow(PullWidth(step), 2);
    const double pulled_s = out.at_s[static_cast<std::size_t>(j)] - step.middle_s();
    out.seen_s.push_back(step.middle_s() + stretch * pulled_s);
    out.sigma_s.push_back(std::hypot(std::sqrt(variance_s2), kLeastSigmaS));
  }
  return out;
}

}  // namespace ohmglow
