// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/response_noise.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "heat/response.h"
#include "support/scene.h"

namespace ohmglow::testing {
namespace {

constexpr double kMapBlurPx = 1.2;  // Of `Response::rise_k`.
constexpr int kSpotPx = 2;
constexpr int kApartPx = 40;  // Far enough that the background is learned elsewhere.

Response Fitted(const Stack& stack,
                const Drive& drive,
                const Plate& plate,
                const HeatOptions& options) {
  TemporalModel model = TemporalModel::OffsetAlone(stack);
  Eigen::MatrixXf courses = PixelCourses(stack, model);
  RemoveCommonOffset(courses, model, drive, stack.seen);
  return FitResponse(courses, stack, drive, MakeSourceCourses(plate), options, model);
}

std::vector<cv::Point> Places(const Mask& seen) {
  std::vector<cv::Point> places;
  for (int y = kApartPx / 2; y < seen.rows; y += kApartPx) {
    for (int x = kApartPx / 2; x < seen.cols; x += kApartPx) {
      if (seen(y, x) != 0) places.emplace_back(x, y);
    }
  }
  return places;
}

double Median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// Spread over the picture of what differs from one spot's width to the next:
// what all neighbours share is the background's, not the fit's.
double SpreadOf(const Image& rise_k, const Mask& quiet) {
  std::vector<double> differences;
  constexpr int kStep = 6;  // Five smoothing widths: independent.
  for (int y = 0; y < rise_k.rows; ++y) {
    for (int x = 0; x + 2 * kStep < rise_k.cols; ++x) {
      if (quiet(y, x) == 0 || quiet(y, x + kStep) == 0 || quiet(y, x + 2 * kStep) == 0) continue;
      const double bend =
          rise_k(y, x) - 2.0 * rise_k(y, x + kStep) + static_cast<double>(rise_k(y, x + 2 * kStep));
      differences.push_back(std::abs(bend));
    }
  }
  // 1.4826: from the median absolute deviation (normal quantile); 1, 4 and 1 variances.
  return 1.4826 * Median(differences) / std::sqrt(6.0);
}

// Covariance of the bins' means, each times the root of its frames.
Eigen::MatrixXd NoiseOfBins(const TemporalModel& model, const CameraNoise& camera) {
  const Eigen::Index num_bins = model.num_bins();
  Eigen::MatrixXd covariance =
      camera.white_k * camera.white_k * Eigen::MatrixXd::Identity(num_bins, num_bins);
  const std::vector<double>& times_s = model.bin_times_s();
  for (Eigen::Index i = 0; i < num_bins; ++i) {
    for (Eigen::Index j = 0; j < num_bins; ++j) {
      const double apart_s =
          std::abs(times_s[static_cast<std::size_t>(i)] - times_s[static_cast<std::size_t>(j)]);
      covariance(i, j) += model.weight()(i) * model.weight()(j) * camera.slow_k * camera.slow_k *
                          std::exp(-apart_s / camera.slow_s);
    }
  }
  return covariance;
}

// Standard deviation of a known course's amplitude beside an offset.
double LeastSpread(const TemporalModel& model,
                   const Eigen::VectorXd& course,
                   const CameraNoise& camera) {
  Eigen::MatrixXd design(course.size(), 2);
  design << model.Weighted(course), model.weight();
  const Eigen::MatrixXd whitened = NoiseOfBins(model, camera).ldlt().solve(design);
  return std::sqrt((design.transpose() * whitened).inverse()(0, 0));
}

}  // namespace

ResponseNoise MeasureResponseNoise(const Stack& stack,
                                   const Drive& drive,
                                   const Plate& plate,
                                   const HeatOptions& options,
                                   const CameraNoise& camera,
                                   double lag_s,
                                   double rise_of_noise) {
  const TemporalModel model = TemporalModel::OffsetAlone(stack);
  const Eigen::VectorXd course = model.BinnedLag(drive, lag_s, 2);
  const double rise_k = rise_of_noise * camera.white_k;
  const std::vector<cv::Point> places = Places(stack.seen);
  Image spots(stack.size_px(), 0.0F);
  for (const cv::Point& place : places) {
    spots += Blob(stack.size_px(), cv::Point2d(place), kSpotPx);
  }
  Stack warmed = stack;
  for (std::size_t b = 0; b < warmed.bins_k.size(); ++b) {
    const Image warmth(spots * (rise_k * course(static_cast<Eigen::Index>(b))));
    warmed.bins_k[b] = stack.bins_k[b].clone();  // A stack's copy shares its pictures.
    warmed.bins_k[b] += warmth;
  }
  const Response without = Fitted(stack, drive, plate, options);
  const Response with = Fitted(warmed, drive, plate, options);

  // What the map's smoothing leaves of a Gaussian spot's height, and of white noise.
  constexpr double kSpread = kSpotPx * kSpotPx;
  const double spot_share = kSpread / (kSpread + kMapBlurPx * kMapBlurPx);
  const double noise_share = 1 / (2 * kMapBlurPx * std::sqrt(std::numbers::pi));
  std::vector<double> gains;
  for (const cv::Point& place : places) {
    gains.push_back((with.rise_k(place) - without.rise_k(place)) / (rise_k * spot_share));
  }
  ResponseNoise out;
  out.gain = Median(std::move(gains));
  Mask quiet = stack.seen.clone();
  for (const cv::Point& place : places) cv::circle(quiet, place, 4 * kSpotPx, 0, cv::FILLED);
  out.spread_k = SpreadOf(with.rise_k, quiet);
  out.design_k = with.noise_rise_k * camera.white_k / with.noise_median_k;
  out.white_k = noise_share * LeastSpread(model, course, {camera.white_k, 0, 1});
  out.true_k = noise_share * LeastSpread(model, course, camera);
  return out;
}

}  // namespace ohmglow::testing
