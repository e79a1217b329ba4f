// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/course.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include "heat/directions.h"
#include "rank/kind_shapes.h"

namespace ohmglow {
namespace {

constexpr std::array kHeatExponents = {1.0, 2.0};
constexpr std::size_t kLinear = 0;
constexpr std::size_t kSquared = 1;
constexpr std::array kOnsetLagsS = {0.5, 1.5, 4.0, 12.0, 40.0};
constexpr int kSmoothDegree = 7;
// Energy of a course that the models of all explanations miss.
constexpr double kModelError = 0.01;

// One change of power at every moment inside the capture, through lags.
Eigen::MatrixXd Onsets(const TemporalModel& model) {
  const std::vector<double>& times_s = model.bin_times_s();
  const int num_bins = model.num_bins();
  const int num_starts = std::max(1, num_bins - 3);
  Eigen::MatrixXd onsets =
      Eigen::MatrixXd::Zero(num_bins, num_starts * static_cast<Eigen::Index>(kOnsetLagsS.size()));
  Eigen::Index column = 0;
  for (int start = 0; start < num_starts; ++start) {
    for (const double lag_s : kOnsetLagsS) {
      for (int b = start; b < num_bins; ++b) {
        const double since_s =
            times_s[static_cast<std::size_t>(b)] - times_s[static_cast<std::size_t>(start)];
        onsets(b, column) = model.weight()(b) * (1 - std::exp(-since_s / lag_s));
      }
      ++column;
    }
  }
  model.ProjectColumns(onsets);
  onsets.colwise().normalize();
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

HeatShapes MakeHeatShapes(const TemporalModel& model,
                          const Drive& drive,
                          const SourceCourses& sources) {
  const Eigen::MatrixXd shares = sources.mixture.cwiseAbs();
  const Eigen::MatrixXd mean_log = (shares.transpose() * sources.lags_s.array().log().matrix())
                                       .cwiseQuotient(shares.colwise().sum().transpose());
  std::vector<Eigen::MatrixXd> shapes = ShapesOfKinds(model, drive, sources, kHeatExponents);
  return {std::move(shapes[kLinear]), std::move(shapes[kSquared]), mean_log.array().exp()};
}

CourseModel::CourseModel(const TemporalModel& model, const HeatShapes& shapes)
    : degrees_(std::max(1, model.num_bins() - model.num_nuisances())),
      rivals_(std::make_shared<const Rivals>(Rivals{Onsets(model), Smooth(model)})) {
  SetHeat(model, shapes);
}

void CourseModel::SetHeat(const TemporalModel& model, const HeatShapes& shapes) {
  kind_lag_s_ = shapes.lags_s;
  linear_ = shapes.linear;
  squared_ = shapes.squared;
  for (Eigen::MatrixXd* kinds : {&linear_, &squared_}) {
    model.ProjectColumns(*kinds);
    kinds->colwise().normalize();
  }
}

CourseModel CourseModel::Under(const TemporalModel& model, const HeatShapes& shapes) const {
  CourseModel other(degrees_, rivals_);
  other.SetHeat(model, shapes);
  return other;
}

// What the models miss of strong heat lies in few slow directions: as many places
// disagree there, however strong it is. With the noise unknown but never below the camera's, and
// the amplitude free: a t-like likelihood, so that strong heat is not held to models that are a
// little wrong everywhere.
double CourseModel::LogLikelihood(double rest, const Seen& seen) {
  return -0.5 * seen.degrees * std::log(std::max(rest, seen.floor) / seen.floor);
}

CourseModel::Hypothesis CourseModel::OfKinds(const Seen& seen, const Eigen::MatrixXd& kinds) const {
  const Eigen::VectorXd match = (kinds.transpose() * seen.course).cwiseMax(0);
  Eigen::Index best = 0;
  const double largest = match.maxCoeff(&best);
  const double whole = seen.course.squaredNorm();
  const Eigen::VectorXd logs = match.unaryExpr(
      [&](double amplitude) { return LogLikelihood(whole - amplitude * amplitude, seen); });
  return {whole - largest * largest, kind_lag_s_(best), LogMeanExp(logs)};
}

double CourseModel::LogByItself(const Seen& seen) const {
  const double whole = seen.course.squaredNorm();
  const Eigen::VectorXd logs =
      (rivals_->onsets.transpose() * seen.course).unaryExpr([&](double amplitude) {
        return LogLikelihood(whole - amplitude * amplitude, seen);
      });
  return LogMeanExp(logs);
}

// Every amplitude beyond the first costs what the Bayesian information
// criterion says; Schwarz, Ann. Stat. 6 (1978) 461-464.
double CourseModel::LogSmooth(const Seen& seen) const {
  const double explained = (rivals_->smooth.transpose() * seen.course).squaredNorm();
  const auto more = static_cast<double>(rivals_->smooth.cols() - 1);
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
      Eigen::Vector2d(OfKinds(seen, squared_).log_mean, OfKinds(seen, linear_).log_mean));
}

double CourseModel::LogOther(const Eigen::VectorXd& course, double noise_k) const {
  const Seen seen = WithModelError(course, noise_k);
  return LogMeanExp(Eigen::Vector2d(LogByItself(seen), LogSmooth(seen)));
}

CourseFit CourseModel::Fit(const Eigen::VectorXd& course, double noise_k) const {
  CourseFit fit;
  const Seen seen = WithModelError(course, noise_k);
  const Hypothesis squared = OfKinds(seen, squared_);
  const Hypothesis linear = OfKinds(seen, linear_);
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
