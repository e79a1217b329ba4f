// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/level_places.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "base/median.h"
#include "heat/directions.h"
#include "heat/robust_covariance.h"
#include "heat/source_courses.h"

namespace ohmglow {
namespace {

constexpr std::size_t kMostPlaces = 16;
// Of the band's outer width: places are that far apart.
constexpr double kApart = 1.5;
// Responses that a place may take.
constexpr Eigen::Index kResponses = 5;
// A few of them, at some times, show where it is lively.
constexpr Eigen::Index kProbed = 3;
constexpr int kProbedTimes = 3;
// Slow courses that a background has.
constexpr int kSlowDegree = 5;

// What a background does: slow courses, offsets from shutter event to shutter event, and what
// follows the view; orthonormal.
Eigen::MatrixXd BackgroundModes(const Stack& stack, const TemporalModel& model) {
  const Eigen::MatrixXd motion = MotionCourses(stack);
  const int events = stack.segment.back() - stack.segment.front();
  Eigen::MatrixXd courses(stack.size(), kSlowDegree + events + motion.cols());
  const double first_s = stack.time_s.front();
  const double span_s = std::max(stack.time_s.back() - first_s, 1e-9);
  for (int b = 0; b < stack.size(); ++b) {
    const auto bin = static_cast<std::size_t>(b);
    const double x = std::clamp(2 * (stack.time_s[bin] - first_s) / span_s - 1, -1.0, 1.0);
    for (int d = 1; d <= kSlowDegree; ++d) {
      courses(b, d - 1) = std::legendre(static_cast<unsigned>(d), x);
    }
    for (int e = 0; e < events; ++e) {
      courses(b, kSlowDegree + e) = stack.segment[bin] - stack.segment.front() > e ? 1 : 0;
    }
  }
  courses.rightCols(motion.cols()) = motion;
  for (Eigen::Index i = 0; i < courses.cols(); ++i) {
    courses.col(i) = model.Project(model.Weighted(courses.col(i))).normalized();
  }
  return Orthonormal(courses, 1e-4);
}

// Softened by how much of those the picture has, most of it.
TemporalModel AgainstTheRest(const Stack& stack, TemporalModel model, const FineGrid& grid) {
  const Eigen::MatrixXd basis = BackgroundModes(stack, model);
  const Eigen::MatrixXf q = basis.cast<float>();
  Eigen::MatrixXf modes = q.transpose() * grid.courses;
  const Eigen::ArrayXf rest =
      (grid.courses.colwise().squaredNorm() - modes.colwise().squaredNorm()).transpose().array();
  std::vector<float> energies(rest.data(), rest.data() + rest.size());
  const auto degrees = static_cast<float>(std::max<Eigen::Index>(1, stack.size() - 1 - q.cols()));
  const float noise = std::sqrt(std::max(MedianOf(energies), 1e-20F) / degrees);
  modes /= noise;
  model.Soften(basis, RobustCovariance(modes));
  return model;
}

// How much the best single change of power brings to each point of a grid, against the energy that
// most points have. Against the point's own, a strong place that goes up and down would seem less
// lively than its halo.
Eigen::ArrayXf Liveliness(const FineGrid& grid, const StepTable& table) {
  Eigen::ArrayXf most = Eigen::ArrayXf::Zero(grid.courses.cols());
  for (int i = 0; i < table.num_times(); i += kProbedTimes) {
    Eigen::MatrixXd shapes(grid.courses.rows(), std::min(kProbed, table.num_responses()));
    for (Eigen::Index j = 0; j < shapes.cols(); ++j) {
      shapes.col(j) = table.courses[static_cast<std::size_t>(j)].col(i).cast<double>();
    }
    const Eigen::MatrixXf basis = Orthonormal(shapes, 1e-2).cast<float>();
    most = most.max((basis.transpose() * grid.courses).colwise().squaredNorm().transpose().array());
  }
  std::vector<float> energies(grid.whole.data(), grid.whole.data() + grid.whole.size());
  const float usual = std::max(MedianOf(energies), 1e-20F);
  return 0.5F * static_cast<float>(grid.degrees) * (most / (usual + grid.tremble)).log1p();
}

// The first few of some points, best first, no two nearer than that: nearer ones share
// their noise, which must not count twice.
std::vector<Eigen::Index> Apart(const FineGrid& grid,
                                const std::vector<Eigen::Index>& points,
                                double apart_px) {
  std::vector<Eigen::Index> kept;
  for (const Eigen::Index point : points) {
    const bool near = std::any_of(kept.begin(), kept.end(), [&](Eigen::Index other) {
      const cv::Point way =
          grid.at[static_cast<std::size_t>(other)] - grid.at[static_cast<std::size_t>(point)];
      return way.dot(way) < apart_px * apart_px;
    });
    if (!near && kept.size() < kMostPlaces) kept.push_back(point);
  }
  return kept;
}

}  // namespace

LivelyBand FindLivelyBand(const Stack& stack,
                          const Plate& plate,
                          double mm_per_pixel,
                          const DetailBand& band) {
  const TemporalModel offset = TemporalModel::OffsetAlone(stack);
  const FineGrid grid = MakeFineGrid(stack, offset, band);
  const TemporalModel model = AgainstTheRest(stack, offset, grid);
  FineGrid clean = grid;
  model.ProjectColumns(clean.courses);
  clean.degrees = std::max(1, model.num_bins() - model.num_nuisances());
  const Eigen::ArrayXf energy = clean.courses.colwise().squaredNorm().transpose().array();
  clean.whole = energy + clean.tremble;
  const SourceCourses kinds =
      MakeBandCourses(plate, mm_per_pixel * band.inner_px, mm_per_pixel * band.outer_px);
  StepTable table = MakeStepTable(stack, model, kinds, kResponses);
  const std::vector<Eigen::Index> points =
      Apart(clean, FindSpots(clean, Liveliness(clean, table)), kApart * band.outer_px);
  FineGrid spots = Select(clean, points);
  std::vector<float> energies(clean.whole.data(), clean.whole.data() + clean.whole.size());
  spots.tremble += MedianOf(energies);
  BandScore score(std::move(table), spots);
  return {Select(grid, points), std::move(score)};
}

}  // namespace ohmglow
