// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/course.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "heat/directions.h"

namespace ohmglow {
namespace {

constexpr double kExponentStep = 0.1;
constexpr int kNumExponents = 40;
constexpr int kSquared = 19;  // index of exponent 2
constexpr int kLinear = 9;    // index of exponent 1
constexpr std::array kOnsetLagsS = {0.5, 1.5, 4.0, 12.0, 40.0};
// What is beyond a cubic: of a lesser degree the background says how much is usual.
constexpr int kSmoothDegree = 7;
constexpr int kDriftDegree = 3;

// One change of power at every moment inside the capture, through lags.
Eigen::MatrixXd Onsets(const TemporalModel& model) {
  const std::vector<double>& times_s = model.bin_times_s();
  const int num_bins = model.num_bins();
  const int num_starts = std::max(1, num_bins - 3);
  Eigen::MatrixXd onsets(num_bins, num_starts * static_cast<Eigen::Index>(kOnsetLagsS.size()));
  Eigen::Index column = 0;
  for (int start = 0; start < num_starts; ++start) {
    for (const double lag_s : kOnsetLagsS) {
      Eigen::VectorXd shape = Eigen::VectorXd::Zero(num_bins);
      for (int b = start; b < num_bins; ++b) {
        const double since_s =
            times_s[static_cast<std::size_t>(b)] - times_s[static_cast<std::size_t>(start)];
        shape(b) = 1 - std::exp(-since_s / lag_s);
      }
      onsets.col(column++) = model.Project(model.Weighted(shape)).normalized();
    }
  }
  return onsets;
}

// Polynomials beyond the drift's.
Eigen::MatrixXd Smooth(const TemporalModel& model) {
  const std::vector<double>& times_s = model.bin_times_s();
  const double span_s = std::max(times_s.back() - times_s.front(), 1e-9);
  Eigen::MatrixXd shapes(model.num_bins(), kSmoothDegree - kDriftDegree);
  for (int d = kDriftDegree + 1; d <= kSmoothDegree; ++d) {
    Eigen::VectorXd shape(model.num_bins());
    for (int b = 0; b < model.num_bins(); ++b) {
      const double x = 2 * (times_s[static_cast<std::size_t>(b)] - times_s.front()) / span_s - 1;
      shape(b) = std::pow(x, d);
    }
    shapes.col(d - kDriftDegree - 1) = model.Project(model.Weighted(shape));
  }
  return Orthonormal(shapes, 1e-4);
}

}  // namespace

Eigen::VectorXd SpotCourse(const Eigen::MatrixXf& courses,
                           const Mask& seen,
                           Point center_px,
                           double sigma_px,
                           double surroundings_px) {
  struct Pixel {
    Eigen::Index column;
    double spot;
    double around;
  };
  std::vector<Pixel> pixels;
  double spot_sum = 0;
  double around_sum = 0;
  const int reach = static_cast<int>(std::ceil(2.5 * std::max(sigma_px, surroundings_px)));
  const int cx = cvRound(center_px.x);
  const int cy = cvRound(center_px.y);
  for (int y = std::max(0, cy - reach); y <= std::min(seen.rows - 1, cy + reach); ++y) {
    for (int x = std::max(0, cx - reach); x <= std::min(seen.cols - 1, cx + reach); ++x) {
      if (seen(y, x) == 0) continue;
      const double r2 = std::pow(x - center_px.x, 2) + std::pow(y - center_px.y, 2);
      const double spot = std::exp(-0.5 * r2 / (sigma_px * sigma_px));
      const double around = std::exp(-0.5 * r2 / (surroundings_px * surroundings_px));
      pixels.push_back({y * seen.cols + x, spot, around});
      spot_sum += spot;
      around_sum += around;
    }
  }
  Eigen::VectorXd sum = Eigen::VectorXd::Zero(courses.rows());
  if (pixels.empty()) return sum;
  double square = 0;
  for (const Pixel& pixel : pixels) {
    const double weight = pixel.spot / spot_sum - pixel.around / around_sum;
    sum += weight * courses.col(pixel.column).cast<double>();
    square += weight * weight;
  }
  return sum / std::sqrt(square);
}

CourseModel::CourseModel(const TemporalModel& model,
                         const Drive& drive,
                         const SourceCourses& sources)
    : model_(model),
      onsets_(Onsets(model)),
      smooth_(Smooth(model)),
      degrees_(std::max(1, model.num_bins() - model.num_nuisances())) {
  const Eigen::MatrixXd shares = sources.mixture.cwiseAbs();
  kind_lag_s_ = ((shares.transpose() * sources.lags_s.array().log().matrix())
                     .cwiseQuotient(shares.colwise().sum().transpose()))
                    .array()
                    .exp();
  for (int i = 0; i < kNumExponents; ++i) {
    Eigen::MatrixXd lags(model.num_bins(), sources.lags_s.size());
    for (Eigen::Index j = 0; j < lags.cols(); ++j) {
      lags.col(j) = model.ProjectedLag(drive, sources.lags_s(j), (i + 1) * kExponentStep);
    }
    kinds_.emplace_back((lags * sources.mixture).colwise().normalized());
  }
}

CourseModel::Hypothesis CourseModel::BestKind(const Eigen::VectorXd& course,
                                              int exponent_index) const {
  Eigen::Index best = 0;
  const Eigen::VectorXd match =
      kinds_[static_cast<std::size_t>(exponent_index)].transpose() * course;
  const double largest = std::max(0.0, match.maxCoeff(&best));
  return {course.squaredNorm() - largest * largest, kind_lag_s_(best)};
}

void CourseModel::FitExponent(const Eigen::VectorXd& course, double floor, CourseFit& fit) const {
  std::vector<double> log_likelihood;
  for (int i = 0; i < kNumExponents; ++i) {
    log_likelihood.push_back(-0.5 * degrees_ * std::log(std::max(BestKind(course, i).rest, floor)));
  }
  // First two moments of the profile likelihood: asymmetric and cut profiles
  // count as they are.
  const double best = *std::max_element(log_likelihood.begin(), log_likelihood.end());
  double norm = 0;
  double mean = 0;
  double square = 0;
  for (int i = 0; i < kNumExponents; ++i) {
    const double weight = std::exp(log_likelihood[static_cast<std::size_t>(i)] - best);
    const double n = (i + 1) * kExponentStep;
    norm += weight;
    mean += weight * n;
    square += weight * n * n;
  }
  mean /= norm;
  fit.exponent = mean;
  fit.exponent_sigma =
      std::sqrt(std::max(square / norm - mean * mean, kExponentStep * kExponentStep / 12));
}

CourseFit CourseModel::Fit(const Eigen::VectorXd& course, double noise_k) const {
  CourseFit fit;
  // No explanation can be better than the camera's noise.
  const double floor = noise_k * noise_k * degrees_;
  FitExponent(course, floor, fit);
  const double whole = course.squaredNorm();
  const Hypothesis squared = BestKind(course, kSquared);
  const Hypothesis linear = BestKind(course, kLinear);
  fit.lag_s = squared.rest <= linear.rest ? squared.lag_s : linear.lag_s;
  fit.snr = std::sqrt(std::max(0.0, whole - std::min(squared.rest, linear.rest))) / noise_k;
  const auto against = [&](double rest, int more_parameters) {
    return -0.5 * degrees_ * std::log(std::max(rest, floor) / std::max(squared.rest, floor)) -
           0.5 * more_parameters * std::log(degrees_);
  };
  // A kind of source has an amplitude and about two parameters of its shape;
  // an onset an amplitude, a moment and a lag; the polynomial four.
  fit.log_junction = against(linear.rest, 0);
  const double best_onset = (onsets_.transpose() * course).cwiseAbs().maxCoeff();
  const double smooth = (smooth_.transpose() * course).squaredNorm();
  const double junction_gain = std::max(0.0, fit.log_junction);
  fit.log_by_itself = against(whole - best_onset * best_onset, 0) - junction_gain;
  fit.log_smooth = against(whole - smooth, 1) - junction_gain;
  return fit;
}

}  // namespace ohmglow
