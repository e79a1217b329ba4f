// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/course.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace ohmglow {
namespace {

constexpr std::array kLagsS = {0.1, 0.25, 0.5, 1.0, 1.7, 3.0, 5.0, 8.0, 13.0, 25.0};
constexpr double kExponentStep = 0.1;
constexpr double kMostExponent = 4.0;
constexpr std::array kOnsetLagsS = {0.5, 1.5, 4.0, 12.0, 40.0};
constexpr int kSmoothDegree = 7;

// What is left of a course after the best amplitude of one shape.
double RestAfter(const Eigen::VectorXd& course, const Eigen::VectorXd& shape, bool positive) {
  const double strength = shape.squaredNorm();
  const double match = shape.dot(course);
  if (strength <= 0 || (positive && match <= 0)) return course.squaredNorm();
  return course.squaredNorm() - match * match / strength;
}

struct LagFit {
  double rest = 0;
  double lag_s = 1;
};

LagFit BestLag(const Eigen::VectorXd& course,
               const TemporalModel& model,
               const Drive& drive,
               double exponent) {
  LagFit best{1e300, 1};
  for (const double lag_s : kLagsS) {
    const double rest = RestAfter(course, model.ProjectedLag(drive, lag_s, exponent), true);
    if (rest < best.rest) best = {rest, lag_s};
  }
  return best;
}

// Best pair of lags, both heating.
double BestTwoLags(const Eigen::VectorXd& course,
                   const TemporalModel& model,
                   const Drive& drive,
                   double exponent) {
  std::vector<Eigen::VectorXd> shapes;
  for (const double lag_s : kLagsS) shapes.push_back(model.ProjectedLag(drive, lag_s, exponent));
  double best = course.squaredNorm();
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    best = std::min(best, RestAfter(course, shapes[i], true));
    for (std::size_t j = i + 1; j < shapes.size(); ++j) {
      Eigen::Matrix2d normal;
      normal << shapes[i].squaredNorm(), shapes[i].dot(shapes[j]), shapes[i].dot(shapes[j]),
          shapes[j].squaredNorm();
      const Eigen::Vector2d right(shapes[i].dot(course), shapes[j].dot(course));
      const Eigen::Vector2d amplitude = normal.ldlt().solve(right);
      if (amplitude.minCoeff() < 0) continue;
      best = std::min(best, course.squaredNorm() - right.dot(amplitude));
    }
  }
  return best;
}

// One change of power at a free moment inside the capture, through one lag.
double BestOnset(const Eigen::VectorXd& course, const TemporalModel& model) {
  const std::vector<double>& times_s = model.bin_times_s();
  const int num_bins = model.num_bins();
  double best = course.squaredNorm();
  for (int start = 0; start < num_bins - 3; ++start) {
    for (const double lag_s : kOnsetLagsS) {
      Eigen::VectorXd shape = Eigen::VectorXd::Zero(num_bins);
      for (int b = start; b < num_bins; ++b) {
        const double since_s =
            times_s[static_cast<std::size_t>(b)] - times_s[static_cast<std::size_t>(start)];
        shape(b) = 1 - std::exp(-since_s / lag_s);
      }
      best = std::min(best, RestAfter(course, model.Project(model.Weighted(shape)), false));
    }
  }
  return best;
}

// More polynomial than the drift has.
double BestSmooth(const Eigen::VectorXd& course, const TemporalModel& model) {
  const std::vector<double>& times_s = model.bin_times_s();
  const double span_s = std::max(times_s.back() - times_s.front(), 1e-9);
  Eigen::MatrixXd shapes(model.num_bins(), kSmoothDegree - 3);
  for (int b = 0; b < model.num_bins(); ++b) {
    const double x = 2 * (times_s[static_cast<std::size_t>(b)] - times_s.front()) / span_s - 1;
    for (int d = 4; d <= kSmoothDegree; ++d) shapes(b, d - 4) = std::pow(x, d);
  }
  for (Eigen::Index i = 0; i < shapes.cols(); ++i) {
    shapes.col(i) = model.Project(model.Weighted(shapes.col(i)));
  }
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(shapes, Eigen::ComputeThinU);
  const auto rank = (svd.singularValues().array() > 1e-4 * svd.singularValues()(0)).count();
  return course.squaredNorm() - (svd.matrixU().leftCols(rank).transpose() * course).squaredNorm();
}

void FitExponent(const Eigen::VectorXd& course,
                 const TemporalModel& model,
                 const Drive& drive,
                 double floor,
                 CourseFit& fit) {
  const double degrees = std::max(1, model.num_bins() - model.num_nuisances() - 2);
  std::vector<double> log_likelihood;
  std::vector<double> lags;
  for (int i = 1; i * kExponentStep <= kMostExponent + 1e-9; ++i) {
    const LagFit lag = BestLag(course, model, drive, i * kExponentStep);
    log_likelihood.push_back(-0.5 * degrees * std::log(std::max(lag.rest, floor)));
    lags.push_back(lag.lag_s);
  }
  const auto best = std::max_element(log_likelihood.begin(), log_likelihood.end());
  const auto at = static_cast<std::size_t>(best - log_likelihood.begin());
  fit.exponent = static_cast<double>(at + 1) * kExponentStep;
  fit.lag_s = lags[at];
  // Second moment of the profile likelihood: asymmetric and cut profiles count as they are.
  double norm = 0;
  double mean = 0;
  double square = 0;
  for (std::size_t i = 0; i < log_likelihood.size(); ++i) {
    const double weight = std::exp(log_likelihood[i] - *best);
    const double n = static_cast<double>(i + 1) * kExponentStep;
    norm += weight;
    mean += weight * n;
    square += weight * n * n;
  }
  mean /= norm;
  fit.exponent = mean;
  fit.exponent_sigma =
      std::sqrt(std::max(square / norm - mean * mean, kExponentStep * kExponentStep / 12));
}

}  // namespace

Eigen::VectorXd SpotCourse(const Eigen::MatrixXf& courses,
                           const Mask& seen,
                           Point center_px,
                           double sigma_px) {
  Eigen::VectorXd sum = Eigen::VectorXd::Zero(courses.rows());
  double square = 0;
  const int reach = static_cast<int>(std::ceil(3 * sigma_px));
  const int cx = cvRound(center_px.x);
  const int cy = cvRound(center_px.y);
  for (int y = std::max(0, cy - reach); y <= std::min(seen.rows - 1, cy + reach); ++y) {
    for (int x = std::max(0, cx - reach); x <= std::min(seen.cols - 1, cx + reach); ++x) {
      if (seen(y, x) == 0) continue;
      const double r2 = std::pow(x - center_px.x, 2) + std::pow(y - center_px.y, 2);
      const double weight = std::exp(-0.5 * r2 / (sigma_px * sigma_px));
      sum += weight * courses.col(y * seen.cols + x).cast<double>();
      square += weight * weight;
    }
  }
  return square > 0 ? Eigen::VectorXd(sum / std::sqrt(square)) : sum;
}

CourseFit FitCourse(const Eigen::VectorXd& course,
                    const TemporalModel& model,
                    const Drive& drive,
                    double noise_k) {
  CourseFit fit;
  const double degrees = std::max(1, model.num_bins() - model.num_nuisances());
  // No explanation can be better than the camera's noise.
  const double floor = noise_k * noise_k * degrees;
  FitExponent(course, model, drive, floor, fit);
  const double squared = BestTwoLags(course, model, drive, 2);
  const double linear = BestTwoLags(course, model, drive, 1);
  const double least = std::min(squared, linear);
  fit.snr = std::sqrt(std::max(0.0, course.squaredNorm() - least)) / noise_k;
  const auto against = [&](double rest, int more_parameters) {
    return -0.5 * degrees * std::log(std::max(rest, floor) / std::max(squared, floor)) -
           0.5 * more_parameters * std::log(degrees);
  };
  // Parameters: the pair of lags has four, an onset three, the polynomial four.
  fit.log_junction = against(linear, 0);
  fit.log_by_itself = against(BestOnset(course, model), -1) - std::max(0.0, fit.log_junction);
  fit.log_smooth = against(BestSmooth(course, model), 0) - std::max(0.0, fit.log_junction);
  return fit;
}

}  // namespace ohmglow
