// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/exponent_profile.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include "rank/course.h"
#include "rank/kind_shapes.h"

namespace ohmglow {
namespace {

constexpr double kExponentStep = 0.1;
constexpr std::size_t kNumExponents = 40;
constexpr int kFinePerStep = 10;
// Of the exponent, whatever the noise: rows of the log, levels, clock.
constexpr double kExponentError = 0.03;

// Value between the samples of a smooth course, by the parabola through the
// nearest three.
double Between(const std::vector<double>& samples, double at) {
  const auto last = static_cast<std::ptrdiff_t>(samples.size()) - 2;
  const auto middle = std::clamp<std::ptrdiff_t>(std::lround(at), 1, last);
  const double* around = samples.data() + middle;
  const double x = at - static_cast<double>(middle);
  return around[0] + 0.5 * x * (around[1] - around[-1]) +
         0.5 * x * x * (around[1] - 2 * around[0] + around[-1]);
}

}  // namespace

std::vector<Eigen::MatrixXd> ShapesOfExponents(const TemporalModel& model,
                                               const Drive& drive,
                                               const SourceCourses& sources) {
  std::array<double, kNumExponents> exponents{};
  for (std::size_t i = 0; i < kNumExponents; ++i) {
    exponents[i] = static_cast<double>(i + 1) * kExponentStep;
  }
  return ShapesOfKinds(model, drive, sources, exponents);
}

ExponentProfile::ExponentProfile(const TemporalModel& model, std::vector<Eigen::MatrixXd> shapes)
    : degrees_(std::max(1, model.num_bins() - model.num_nuisances())), kinds_(std::move(shapes)) {
  for (Eigen::MatrixXd& kinds : kinds_) {
    model.ProjectColumns(kinds);
    kinds.colwise().normalize();
  }
}

// What no kind explains of strong heat is no white noise: it lies in few slow
// directions, and there the exponent is read. So it counts as the noise of
// those few alone.
ExponentProfile::Exponent ExponentProfile::Fit(const Eigen::VectorXd& course,
                                               double noise_k) const {
  std::vector<double> rests;
  for (const Eigen::MatrixXd& kinds : kinds_) {
    const double match = std::max(0.0, (kinds.transpose() * course).maxCoeff());
    rests.push_back(course.squaredNorm() - match * match);
  }
  const double least = *std::min_element(rests.begin(), rests.end());
  const double floor = noise_k * noise_k * degrees_;
  const double variance = floor / degrees_ + std::max(0.0, least - floor) / kMisfitDirections;
  // Asymmetric and cut profiles count as they are.
  double norm = 0;
  double mean = 0;
  double square = 0;
  const int last = kFinePerStep * static_cast<int>(kinds_.size() - 1);
  for (int fine = 0; fine <= last; ++fine) {
    const double at = static_cast<double>(fine) / kFinePerStep;
    const double weight = std::exp(-0.5 * (Between(rests, at) - least) / variance);
    const double n = (at + 1) * kExponentStep;
    norm += weight;
    mean += weight * n;
    square += weight * n * n;
  }
  mean /= norm;
  return {mean,
          std::sqrt(std::max(0.0, square / norm - mean * mean) + kExponentError * kExponentError)};
}

}  // namespace ohmglow
