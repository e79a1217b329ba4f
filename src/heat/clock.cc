// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/clock.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <vector>

namespace ohmglow {
namespace {

constexpr std::array kLagsS = {0.3, 1.0, 3.0, 10.0};
constexpr int kBusyPixels = 400;
// Neighbouring pixels share blur, heat and motion: this many count as one.
constexpr double kPixelsPerIndependent = 9;

// Courses of the pixels with the most left to explain.
Eigen::MatrixXd BusyCourses(const Eigen::MatrixXf& courses) {
  const Eigen::VectorXf energy = courses.colwise().squaredNorm().transpose();
  std::vector<Eigen::Index> order(static_cast<std::size_t>(energy.size()));
  std::iota(order.begin(), order.end(), Eigen::Index{0});
  const auto count = std::min<std::size_t>(kBusyPixels, order.size());
  std::partial_sort(order.begin(),
                    order.begin() + static_cast<std::ptrdiff_t>(count),
                    order.end(),
                    [&](Eigen::Index a, Eigen::Index b) { return energy(a) > energy(b); });
  Eigen::MatrixXd busy(courses.rows(), static_cast<Eigen::Index>(count));
  for (std::size_t i = 0; i < count; ++i) {
    busy.col(static_cast<Eigen::Index>(i)) = courses.col(order[i]).cast<double>();
  }
  return busy;
}

double LogLikelihood(const Eigen::MatrixXd& busy,
                     const TemporalModel& model,
                     const SupplyLog& log,
                     double offset_s) {
  const Drive drive(log, offset_s);
  Eigen::MatrixXd lags(model.num_bins(), static_cast<Eigen::Index>(kLagsS.size()));
  for (std::size_t i = 0; i < kLagsS.size(); ++i) {
    lags.col(static_cast<Eigen::Index>(i)) = model.ProjectedLag(drive, kLagsS[i], 2);
  }
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(lags, Eigen::ComputeThinU);
  const auto rank = (svd.singularValues().array() > 1e-3 * svd.singularValues()(0)).count();
  const Eigen::MatrixXd q = svd.matrixU().leftCols(rank);
  const Eigen::VectorXd whole = busy.colwise().squaredNorm().transpose();
  const Eigen::VectorXd explained = (q.transpose() * busy).colwise().squaredNorm().transpose();
  const double degrees = model.num_bins() - model.num_nuisances();
  const Eigen::ArrayXd rest = (whole - explained).array().max(1e-12);
  return -0.5 * degrees * rest.log().sum() / kPixelsPerIndependent;
}

}  // namespace

ClockFit EstimateClock(const Eigen::MatrixXf& courses,
                       const TemporalModel& model,
                       const SupplyLog& log,
                       const HeatOptions& options) {
  const Eigen::MatrixXd busy = BusyCourses(courses);
  const int half = static_cast<int>(std::lround(options.clock_range_s / options.clock_step_s));
  std::vector<double> likelihood;
  for (int i = -half; i <= half; ++i) {
    likelihood.push_back(LogLikelihood(busy, model, log, i * options.clock_step_s));
  }
  const auto best = std::max_element(likelihood.begin(), likelihood.end());
  const auto at = static_cast<int>(best - likelihood.begin());
  ClockFit fit;
  fit.offset_s = (at - half) * options.clock_step_s;
  // A parabola through the maximum and its neighbours, on a finer step.
  const double step_s = options.clock_step_s / 2;
  const double below = LogLikelihood(busy, model, log, fit.offset_s - step_s);
  const double above = LogLikelihood(busy, model, log, fit.offset_s + step_s);
  const double curvature = (2 * *best - below - above) / (step_s * step_s);
  if (curvature > 0) {
    const double shift_s = 0.5 * (above - below) / (step_s * curvature);
    fit.offset_s += std::clamp(shift_s, -options.clock_step_s, options.clock_step_s);
    fit.sigma_s = 1 / std::sqrt(curvature);
  } else {
    fit.sigma_s = options.clock_range_s;
  }
  return fit;
}

}  // namespace ohmglow
