// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/step_table.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "base/decompose.h"
#include "heat/directions.h"

namespace ohmglow {
namespace {

// Times to a bin, which hold what a course of corners tells.
constexpr int kTimesPerBin = 2;
// Of a bin's frames so many stand for all.
constexpr std::size_t kFramesOfBin = 4;
constexpr int kSmoothDegree = 7;
constexpr Eigen::Index kSampledTimes = 200;

std::vector<double> Times(const Stack& stack) {
  const double first_s = stack.frame_times_s.front().front();
  const double last_s = stack.frame_times_s.back().back();
  const int num = std::max(2, kTimesPerBin * stack.size() + 1);
  std::vector<double> times_s;
  for (int i = 0; i < num; ++i) times_s.push_back(first_s + i * (last_s - first_s) / (num - 1));
  return times_s;
}

std::vector<double> SomeFrames(const std::vector<double>& times_s) {
  if (times_s.size() <= kFramesOfBin) return times_s;
  std::vector<double> some_s;
  for (std::size_t i = 0; i < kFramesOfBin; ++i) {
    some_s.push_back(times_s[(2 * i + 1) * times_s.size() / (2 * kFramesOfBin)]);
  }
  return some_s;
}

// Steps at all times through one lag, weighted and projected: bins x times.
Eigen::MatrixXf CoursesOfLag(const Stack& stack,
                             const TemporalModel& model,
                             const std::vector<double>& times_s,
                             double lag_s) {
  const auto num_times = static_cast<Eigen::Index>(times_s.size());
  Eigen::MatrixXf courses = Eigen::MatrixXf::Zero(stack.size(), num_times);
  for (int b = 0; b < stack.size(); ++b) {
    const std::vector<double> frames_s =
        SomeFrames(stack.frame_times_s[static_cast<std::size_t>(b)]);
    const double share = model.weight()(b) / static_cast<double>(frames_s.size());
    for (Eigen::Index i = 0; i < num_times; ++i) {
      double sum = 0;
      for (const double frame_s : frames_s) {
        const double since_s = frame_s - times_s[static_cast<std::size_t>(i)];
        if (since_s > 0) sum += 1 - std::exp(-since_s / lag_s);
      }
      courses(b, i) = static_cast<float>(share * sum);
    }
  }
  model.ProjectColumns(courses);
  return courses;
}

// Polynomials over the film.
Eigen::MatrixXf SmoothCourses(const Stack& stack, const TemporalModel& model) {
  const double first_s = stack.time_s.front();
  const double span_s = std::max(stack.time_s.back() - first_s, 1e-9);
  Eigen::MatrixXd shapes(stack.size(), kSmoothDegree);
  for (int d = 1; d <= kSmoothDegree; ++d) {
    Eigen::VectorXd shape(stack.size());
    for (int b = 0; b < stack.size(); ++b) {
      const double x = 2 * (stack.time_s[static_cast<std::size_t>(b)] - first_s) / span_s - 1;
      shape(b) = std::legendre(static_cast<unsigned>(d), std::clamp(x, -1.0, 1.0));
    }
    shapes.col(d - 1) = model.Project(model.Weighted(shape));
  }
  return Orthonormal(shapes, 1e-4).cast<float>();
}

struct Principal {
  Eigen::MatrixXd mixture;  // lags x responses
  Eigen::MatrixXd shares;   // kinds x responses: of each in a kind, over that of the first
};

// Of what the kinds come to within a time.
Principal PrincipalOf(const SourceCourses& kinds, double span_s, Eigen::Index count) {
  Eigen::MatrixXd of_lags(kSampledTimes, kinds.lags_s.size());
  const Eigen::ArrayXd times_s =
      Eigen::ArrayXd::LinSpaced(kSampledTimes, span_s / kSampledTimes, span_s);
  for (Eigen::Index i = 0; i < of_lags.cols(); ++i) {
    of_lags.col(i) = 1 - (-times_s / kinds.lags_s(i)).exp();
  }
  const Eigen::MatrixXd rises = of_lags * kinds.mixture;
  const Eigen::RowVectorXd sizes = rises.colwise().norm().cwiseMax(1e-12);
  const Eigen::MatrixXd even = kinds.mixture.array().rowwise() / sizes.array();
  const SingularVectors right = RightSingular(of_lags * even);
  Eigen::MatrixXd kept = right.vectors.leftCols(count);
  // All kinds have much of the first, with one sign: that of a rise.
  if (kept.col(0).sum() < 0) kept.col(0) *= -1;
  const Eigen::VectorXd values = right.values.head(count);
  Principal out;
  out.mixture = even * kept * values.cwiseInverse().asDiagonal();
  const Eigen::MatrixXd parts = kept * values.asDiagonal();
  out.shares = parts.array().colwise() / parts.col(0).array();
  return out;
}

}  // namespace

int StepTable::Nearest(double time_s) const {
  const double at = (time_s - times_s.front()) / pitch_s();
  return std::clamp(static_cast<int>(std::lround(std::clamp(at, -1e6, 1e6))), 0, num_times() - 1);
}

StepTable MakeStepTable(const Stack& stack,
                        const TemporalModel& model,
                        const SourceCourses& kinds,
                        Eigen::Index count) {
  StepTable table;
  table.times_s = Times(stack);
  table.degrees = std::max(1, model.num_bins() - model.num_nuisances());
  table.smooth = SmoothCourses(stack, model);
  const Principal principal =
      PrincipalOf(kinds, table.times_s.back() - table.times_s.front(), count);
  const Eigen::RowVectorXd usual = principal.shares.colwise().mean();
  table.usual = usual.transpose().array().cast<float>();
  table.spread = (principal.shares.rowwise() - usual)
                     .array()
                     .square()
                     .colwise()
                     .mean()
                     .sqrt()
                     .transpose()
                     .cast<float>();
  const auto num_times = static_cast<Eigen::Index>(table.times_s.size());
  table.courses.assign(static_cast<std::size_t>(count),
                       Eigen::MatrixXf::Zero(stack.size(), num_times));
  for (Eigen::Index lag = 0; lag < kinds.lags_s.size(); ++lag) {
    const Eigen::MatrixXf of_lag = CoursesOfLag(stack, model, table.times_s, kinds.lags_s(lag));
    for (Eigen::Index j = 0; j < count; ++j) {
      table.courses[static_cast<std::size_t>(j)] +=
          static_cast<float>(principal.mixture(lag, j)) * of_lag;
    }
  }
  for (const Eigen::MatrixXf& first : table.courses) {
    for (const Eigen::MatrixXf& second : table.courses) {
      table.products.emplace_back(first.transpose() * second);
    }
  }
  return table;
}

}  // namespace ohmglow
