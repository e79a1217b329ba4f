// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/strength.h"

#include <algorithm>
#include <cmath>

#include "rank/course.h"

namespace ohmglow {
namespace {

constexpr double kCourseSigmaPx = 1.0;
constexpr double kSurroundingsPx = 12;

}  // namespace

StrengthModel::StrengthModel(const Analysis& analysis,
                             const SourceCourses& sources,
                             double exponent)
    : analysis_(analysis), per_amps_(1 / std::pow(analysis.drive->top_amps_a(), exponent)) {
  courses_ =
      analysis.model->ProjectedLags(*analysis.drive, sources.lags_s, exponent) * sources.mixture;
}

int StrengthModel::BestKind(Point at_px) const {
  const Response& response = analysis_.response;
  const Eigen::VectorXd seen =
      SpotCourse(response.courses, response.seen, at_px, kCourseSigmaPx, kSurroundingsPx);
  const Eigen::VectorXd match =
      (courses_.transpose() * seen).cwiseQuotient(courses_.colwise().norm().transpose());
  Eigen::Index best = 0;
  match.maxCoeff(&best);
  return static_cast<int>(best);
}

Image StrengthModel::Map(int kind) const {
  const Eigen::VectorXd course = courses_.col(kind);
  const Eigen::VectorXf weights = (course * (per_amps_ / course.squaredNorm())).cast<float>();
  const Eigen::VectorXf values = (weights.transpose() * analysis_.response.courses).transpose();
  Image map(analysis_.response.seen.size());
  std::copy(values.data(), values.data() + values.size(), map.ptr<float>());
  map.setTo(0, analysis_.response.seen == 0);
  return map;
}

}  // namespace ohmglow
