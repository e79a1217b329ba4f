// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/robust_covariance.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "base/decompose.h"
#include "base/median.h"
#include "heat/row_mix.h"

namespace ohmglow {
namespace {

constexpr double kKept = 0.6;  // Share of the samples that is the background for sure.
constexpr int kSteps = 7;

// Squared Mahalanobis distance of every sample, one a column.
Eigen::VectorXf Distances(const Eigen::MatrixXd& covariance, const PixelRows& samples) {
  const Eigen::Index size = covariance.rows();
  const Eigen::MatrixXd unit = Eigen::MatrixXd::Identity(size, size);
  const PositiveMatrix positive(covariance + (1e-12 * covariance.trace() + 1e-9) * unit);
  const Eigen::MatrixXd whitener = positive.Whitener();
  return Mixed(whitener.cast<float>(), samples).colwise().squaredNorm().transpose();
}

}  // namespace

Eigen::MatrixXd RobustCovariance(const Eigen::MatrixXf& samples) {
  const Eigen::Index size = samples.rows();
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Identity(size, size);
  if (samples.cols() < 4 * size) return covariance;
  const auto kept = static_cast<std::size_t>(kKept * static_cast<double>(samples.cols()));
  const PixelRows rows = samples;
  Eigen::VectorXf distance = samples.colwise().squaredNorm().transpose();
  std::vector<Eigen::Index> order(static_cast<std::size_t>(samples.cols()));
  std::vector<float> sorted(order.size());
  Eigen::MatrixXf quiet(size, static_cast<Eigen::Index>(kept));
  for (int step = 0; step < kSteps; ++step) {
    std::iota(order.begin(), order.end(), 0);
    std::nth_element(order.begin(),
                     order.begin() + static_cast<std::ptrdiff_t>(kept),
                     order.end(),
                     [&](Eigen::Index a, Eigen::Index b) { return distance(a) < distance(b); });
    for (std::size_t i = 0; i < kept; ++i) {
      quiet.col(static_cast<Eigen::Index>(i)) = samples.col(order[i]);
    }
    covariance = (quiet * quiet.transpose()).cast<double>() / static_cast<double>(kept);
    // The distances under it say who is quiet in the next step: their order
    // does not depend on its scale.
    distance = Distances(covariance, rows);
    // The quieter part spreads less than the whole: the median tells how much.
    std::copy_n(distance.data(), sorted.size(), sorted.begin());
    covariance *=
        static_cast<double>(MedianOf(sorted)) / ChiSquareQuantile(static_cast<int>(size), 0);
  }
  const SymmetricModes<double> modes = ModesOf(covariance);
  return modes.vectors * modes.values.cwiseMax(1.0).asDiagonal() * modes.vectors.transpose();
}

double ChiSquareQuantile(int degrees, double sigmas) {
  const double spread = 2.0 / (9.0 * degrees);
  return degrees * std::pow(1 - spread + sigmas * std::sqrt(spread), 3);
}

}  // namespace ohmglow
