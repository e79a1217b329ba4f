// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/source_kinds.h"

#include <algorithm>
#include <array>

namespace ohmglow {
namespace {

// Kinds of source tried at every pixel, and the likeness at which one stands for another.
constexpr int kMostKinds = 8;
constexpr double kAlikeEnough = 0.97;

// Kinds differ while a level lasts no longer than C/H, after that all of them
// follow the steps of the current and what a background of warm board is told
// by is the little that is left: its share of a course falls as C/H over the length.
double AlikeEnough(const SourceCourses& sources, const TemporalModel& model) {
  const double length_s = model.bin_times_s().back() - model.bin_times_s().front();
  return 1 - (1 - kAlikeEnough) * std::min(1.0, sources.board_s / std::max(length_s, 1e-9));
}

}  // namespace

std::vector<SourceKind> SelectKinds(const SourceCourses& sources,
                                    const TemporalModel& model,
                                    const Drive& drive,
                                    double exponent) {
  const Eigen::Index num_lags = sources.lags_s.size();
  Eigen::RowVectorXd reached(num_lags);
  const std::array<double, 1> end_s = {drive.top_end_s()};
  drive.LagResponses(
      end_s, sources.lags_s, {&exponent, 1}, [&](std::size_t, const Eigen::ArrayXXd& y) {
        reached = y.col(0).matrix().transpose();
      });
  const Eigen::MatrixXd courses =
      model.ProjectedLags(drive, sources.lags_s, exponent) * sources.mixture;
  const Eigen::RowVectorXd ends = reached * sources.mixture;
  const Eigen::RowVectorXd norms = courses.colwise().norm();
  const Eigen::MatrixXd shapes = courses.colwise().normalized();
  const double alike = AlikeEnough(sources, model);
  std::vector<SourceKind> kinds;
  Eigen::VectorXd likeness = Eigen::VectorXd::Constant(shapes.cols(), -1);
  Eigen::Index next = 0;
  (shapes.transpose() * shapes.rowwise().mean()).maxCoeff(&next);
  for (int n = 0; n < kMostKinds; ++n) {
    kinds.push_back({shapes.col(next), norms(next), ends(next)});
    likeness = likeness.cwiseMax(shapes.transpose() * shapes.col(next));
    if (likeness.minCoeff(&next) > alike) break;
  }
  return kinds;
}

}  // namespace ohmglow
