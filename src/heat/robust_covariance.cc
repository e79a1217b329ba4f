// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/robust_covariance.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "heat/median.h"

namespace ohmglow {
namespace {

constexpr double kKept = 0.6;  // Share of the samples that is the background for sure.
constexpr int kSteps = 7;

}  // namespace

Eigen::MatrixXd RobustCovariance(const Eigen::MatrixXf& samples) {
  const Eigen::Index size = samples.rows();
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Identity(size, size);
  if (samples.cols() < 4 * size) return covariance;
  const auto kept = static_cast<std::size_t>(kKept * static_cast<double>(samples.cols()));
  for (int step = 0; step < kSteps; ++step) {
    const Eigen::LLT<Eigen::MatrixXd> llt(
        covariance + 1e-6 * covariance.trace() * Eigen::MatrixXd::Identity(size, size) +
        1e-12 * Eigen::MatrixXd::Identity(size, size));
    const Eigen::VectorXd distance =
        llt.matrixL().solve(samples.cast<double>()).colwise().squaredNorm().transpose();
    std::vector<Eigen::Index> order(static_cast<std::size_t>(samples.cols()));
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = static_cast<Eigen::Index>(i);
    std::nth_element(order.begin(),
                     order.begin() + static_cast<std::ptrdiff_t>(kept),
                     order.end(),
                     [&](Eigen::Index a, Eigen::Index b) { return distance(a) < distance(b); });
    Eigen::MatrixXf quiet(size, static_cast<Eigen::Index>(kept));
    for (std::size_t i = 0; i < kept; ++i) {
      quiet.col(static_cast<Eigen::Index>(i)) = samples.col(order[i]);
    }
    covariance = (quiet * quiet.transpose()).cast<double>() / static_cast<double>(kept);
    // The quieter part spreads less than the whole: the median tells how much.
    const Eigen::LLT<Eigen::MatrixXd> own(covariance +
                                          1e-9 * Eigen::MatrixXd::Identity(size, size));
    const Eigen::VectorXd spread =
        own.matrixL().solve(samples.cast<double>()).colwise().squaredNorm().transpose();
    std::vector<double> sorted(spread.data(), spread.data() + spread.size());
    covariance *= MedianOf(sorted) / ChiSquareQuantile(static_cast<int>(size), 0);
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(covariance);
  return eigen.eigenvectors() * eigen.eigenvalues().cwiseMax(1.0).asDiagonal() *
         eigen.eigenvectors().transpose();
}

double ChiSquareQuantile(int degrees, double sigmas) {
  const double spread = 2.0 / (9.0 * degrees);
  return degrees * std::pow(1 - spread + sigmas * std::sqrt(spread), 3);
}

}  // namespace ohmglow
