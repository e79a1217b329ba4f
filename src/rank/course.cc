// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/course.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include "heat/directions.h"

namespace ohmglow {
namespace {

constexpr double kExponentStep = 0.1;
constexpr int kNumExponents = 40;
constexpr int kSquared = 19;  // index of exponent 2
constexpr int kLinear = 9;    // index of exponent 1
constexpr int kFinePerStep = 10;
// Directions in which strong heat differs from all kinds, about; with it, of
// 283 faults of simulated captures 96 % lie within two sigmas (79 % with as
// many directions as the course has).
constexpr double kMisfitDirections = 24;
// Of the exponent, whatever the noise: rows of the log, levels, clock.
constexpr double kExponentError = 0.03;
constexpr std::array kOnsetLagsS = {0.5, 1.5, 4.0, 12.0, 40.0};
constexpr int kSmoothDegree = 7;
// Energy of a course that the models of all explanations miss.
constexpr double kModelError = 0.01;

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

// Polynomials over the capture.
Eigen::MatrixXd Smooth(const TemporalModel& model) {
  const std::vector<double>& times_s = model.bin_times_s();
  const double span_s = std::max(times_s.back() - times_s.front(), 1e-9);
  Eigen::MatrixXd shapes(model.num_bins(), kSmoothDegree);
  for (int d = 1; d <= kSmoothDegree; ++d) {
    Eigen::VectorXd shape(model.num_bins());
    for (int b = 0; b < model.num_bins(); ++b) {
      const double x = 2 * (times_s[static_cast<std::size_t>(b)] - times_s.front()) / span_s - 1;
      shape(b) = std::legendre(static_cast<unsigned>(d), std::clamp(x, -1.0, 1.0));
    }
    shapes.col(d - 1) = model.Project(model.Weighted(shape));
  }
  return Orthonormal(shapes, 1e-4);
}

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

// Logarithm of the mean of exp().
double LogMeanExp(const Eigen::VectorXd& logs) {
  const double most = logs.maxCoeff();
  return most + std::log((logs.array() - most).exp().mean());
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
  const int reach =
      static_cast<int>(std::ceil(kSpotReachSigmas * std::max(sigma_px, surroundings_px)));
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
    : onsets_(Onsets(model)),
      smooth_(Smooth(model)),
      degrees_(std::max(1, model.num_bins() - model.num_nuisances())) {
  const Eigen::MatrixXd shares = sources.mixture.cwiseAbs();
  kind_lag_s_ = ((shares.transpose() * sources.lags_s.array().log().matrix())
                     .cwiseQuotient(shares.colwise().sum().transpose()))
                    .array()
                    .exp();
  for (int i = 0; i < kNumExponents; ++i) {
    kinds_.push_back(KindsOf(model, drive, sources, (i + 1) * kExponentStep));
  }
}

Eigen::MatrixXd CourseModel::KindsOf(const TemporalModel& model,
                                     const Drive& drive,
                                     const SourceCourses& sources,
                                     double exponent) {
  Eigen::MatrixXd lags(model.num_bins(), sources.lags_s.size());
  for (Eigen::Index j = 0; j < lags.cols(); ++j) {
    lags.col(j) = model.ProjectedLag(drive, sources.lags_s(j), exponent);
  }
  return (lags * sources.mixture).colwise().normalized();
}

CourseModel CourseModel::Under(const Drive& drive,
                               const TemporalModel& model,
                               const SourceCourses& sources) const {
  CourseModel other = *this;
  for (const int i : {kSquared, kLinear}) {
    other.kinds_[static_cast<std::size_t>(i)] =
        KindsOf(model, drive, sources, (i + 1) * kExponentStep);
  }
  return other;
}

// What the models miss of strong heat lies in few slow directions: as many places
// disagree there, however strong it is. With the noise unknown but never below the camera's, and
// the amplitude free: a t-like likelihood, so that strong heat is not held to models that are a
// little wrong everywhere.
double CourseModel::LogLikelihood(double rest, const Seen& seen) {
  return -0.5 * seen.degrees * std::log(std::max(rest, seen.floor) / seen.floor);
}

CourseModel::Hypothesis CourseModel::OfKinds(const Seen& seen, int exponent_index) const {
  const Eigen::VectorXd match =
      (kinds_[static_cast<std::size_t>(exponent_index)].transpose() * seen.course).cwiseMax(0);
  Eigen::Index best = 0;
  const double largest = match.maxCoeff(&best);
  const double whole = seen.course.squaredNorm();
  const Eigen::VectorXd logs = match.unaryExpr(
      [&](double amplitude) { return LogLikelihood(whole - amplitude * amplitude, seen); });
  return {whole - largest * largest, kind_lag_s_(best), LogMeanExp(logs)};
}

// What no kind explains of strong heat is no white noise: it lies in few slow
// directions, and there the exponent is read. So it counts as the noise of
// those few alone.
void CourseModel::FitExponent(const Seen& seen, CourseFit& fit) const {
  std::vector<double> rests;
  for (int i = 0; i < kNumExponents; ++i) rests.push_back(OfKinds(seen, i).rest);
  const double least = *std::min_element(rests.begin(), rests.end());
  const double variance =
      seen.floor / degrees_ + std::max(0.0, least - seen.floor) / kMisfitDirections;
  // First two moments of the profile likelihood: asymmetric and cut profiles
  // count as they are.
  double norm = 0;
  double mean = 0;
  double square = 0;
  for (int fine = 0; fine <= kFinePerStep * (kNumExponents - 1); ++fine) {
    const double at = static_cast<double>(fine) / kFinePerStep;
    const double weight = std::exp(-0.5 * (Between(rests, at) - least) / variance);
    const double n = (at + 1) * kExponentStep;
    norm += weight;
    mean += weight * n;
    square += weight * n * n;
  }
  mean /= norm;
  fit.exponent = mean;
  fit.exponent_sigma =
      std::sqrt(std::max(0.0, square / norm - mean * mean) + kExponentError * kExponentError);
}

double CourseModel::LogByItself(const Seen& seen) const {
  const double whole = seen.course.squaredNorm();
  const Eigen::VectorXd logs = (onsets_.transpose() * seen.course).unaryExpr([&](double amplitude) {
    return LogLikelihood(whole - amplitude * amplitude, seen);
  });
  return LogMeanExp(logs);
}

// Every amplitude beyond the first costs what the Bayesian information
// criterion says; Schwarz, Ann. Stat. 6 (1978) 461-464.
double CourseModel::LogSmooth(const Seen& seen) const {
  const double explained = (smooth_.transpose() * seen.course).squaredNorm();
  const auto more = static_cast<double>(smooth_.cols() - 1);
  return LogLikelihood(seen.course.squaredNorm() - explained, seen) -
         0.5 * more * std::log(degrees_);
}

// No explanation can be better than the camera's noise, nor is any model of a
// source right to more than a tenth of its rise.
CourseModel::Seen CourseModel::WithModelError(const Eigen::VectorXd& course, double noise_k) const {
  const double noise = noise_k * noise_k * degrees_;
  const double misfit = kModelError * course.squaredNorm();
  const double floor = noise + misfit;
  const double degrees =
      (noise * degrees_ + misfit * std::min(kMisfitDirections, degrees_)) / floor;
  return {course, floor, degrees};
}

double CourseModel::LogHeat(const Eigen::VectorXd& course, double noise_k) const {
  const Seen seen = WithModelError(course, noise_k);
  return LogMeanExp(
      Eigen::Vector2d(OfKinds(seen, kSquared).log_mean, OfKinds(seen, kLinear).log_mean));
}

double CourseModel::LogOther(const Eigen::VectorXd& course, double noise_k) const {
  const Seen seen = WithModelError(course, noise_k);
  return LogMeanExp(Eigen::Vector2d(LogByItself(seen), LogSmooth(seen)));
}

CourseFit CourseModel::Fit(const Eigen::VectorXd& course, double noise_k) const {
  CourseFit fit;
  FitExponent({course, noise_k * noise_k * degrees_, degrees_}, fit);
  const Seen seen = WithModelError(course, noise_k);
  const Hypothesis squared = OfKinds(seen, kSquared);
  const Hypothesis linear = OfKinds(seen, kLinear);
  fit.lag_s = squared.rest <= linear.rest ? squared.lag_s : linear.lag_s;
  fit.snr = std::sqrt(std::max(0.0, course.squaredNorm() - std::min(squared.rest, linear.rest))) /
            noise_k;
  const double heat = LogHeat(course, noise_k);
  fit.log_junction = linear.log_mean - squared.log_mean;
  fit.log_by_itself = LogByItself(seen) - heat;
  fit.log_smooth = LogSmooth(seen) - heat;
  return fit;
}

}  // namespace ohmglow
