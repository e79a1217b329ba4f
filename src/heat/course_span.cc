// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/course_span.h"

#include <algorithm>
#include <cmath>

#include "heat/directions.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Slow noise of pixels, hands and reflections bend no more often than this in
// what a degree can still be told from white noise.
constexpr int kDriftDegree = 8;
// Short captures leave no more than one direction in so many bins to drift,
// and half of them to noise.
constexpr int kBinsPerDegree = 4;
constexpr int kLeastForNoise = 4;
constexpr int kUsualDegree = 3;
// Of a kind of source's size, what drift does not hold; less is rounding.
constexpr double kNewEnoughOfHeat = 1e-3;

int DriftDegree(int num_bins) {
  return std::clamp(num_bins / kBinsPerDegree, kUsualDegree, kDriftDegree);
}

// Steps at shutter events, motion, and Legendre polynomials over time.
Eigen::MatrixXd DriftCourses(const Stack& stack) {
  const int num_bins = stack.size();
  const int degree = DriftDegree(num_bins);
  const int num_steps = stack.segment.back() - stack.segment.front();
  const Eigen::MatrixXd motion = MotionCourses(stack);
  Eigen::MatrixXd courses = Eigen::MatrixXd::Zero(num_bins, num_steps + motion.cols() + degree);
  courses.middleCols(num_steps, motion.cols()) = motion;
  const double first_s = stack.time_s.front();
  const double span_s = std::max(stack.time_s.back() - first_s, 1e-9);
  for (int b = 0; b < num_bins; ++b) {
    const auto i = static_cast<std::size_t>(b);
    const int step = stack.segment[i] - stack.segment.front();
    if (step > 0) courses.row(b).head(step).setOnes();
    const double x = 2 * (stack.time_s[i] - first_s) / span_s - 1;
    for (int n = 1; n <= degree; ++n) {
      courses(b, num_steps + motion.cols() + n - 1) =
          std::legendre(static_cast<unsigned>(n), std::clamp(x, -1.0, 1.0));
    }
  }
  return courses;
}

}  // namespace

CourseSpan SpanCourses(const Stack& stack,
                       const TemporalModel& model,
                       const std::vector<SourceKind>& kinds) {
  Eigen::MatrixXd drift = DriftCourses(stack);
  for (Eigen::Index i = 0; i < drift.cols(); ++i) {
    drift.col(i) = model.Project(model.Weighted(drift.col(i))).normalized();
  }
  const Eigen::MatrixXd usual =
      drift.leftCols(drift.cols() - (DriftDegree(stack.size()) - kUsualDegree));
  drift = Orthonormal(drift);
  Eigen::MatrixXd heat(drift.rows(), static_cast<Eigen::Index>(kinds.size()));
  for (std::size_t i = 0; i < kinds.size(); ++i) {
    heat.col(static_cast<Eigen::Index>(i)) = kinds[i].shape;
  }
  CourseSpan span;
  for (const SourceKind& kind : kinds) {
    span.strength = std::max(span.strength, kind.strength / kind.reached);
  }
  Eigen::MatrixXd beyond = heat - drift * (drift.transpose() * heat);
  beyond = Orthonormal(beyond, kNewEnoughOfHeat);
  if (drift.cols() + kLeastForNoise > stack.size()) {
    throw DataError("too many shutter events for so few frames: capture for longer");
  }
  const Eigen::Index room = std::max<Eigen::Index>(1, stack.size() / 2 - drift.cols());
  if (beyond.cols() > room) beyond = beyond.leftCols(room).eval();
  span.basis.resize(drift.rows(), drift.cols() + beyond.cols());
  span.basis << drift, beyond;
  span.usual = span.basis.transpose() * usual;
  span.kinds = (span.basis.transpose() * heat).colwise().normalized();
  return span;
}

}  // namespace ohmglow
