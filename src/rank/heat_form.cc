// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/heat_form.h"

#include <algorithm>
#include <cmath>

#include "rank/patchy_noise.h"

namespace ohmglow {
namespace {

constexpr double kStepS = 5;
constexpr Eigen::Index kMiddleRings = 2;
// Rings beyond this are the surroundings; where the picture ends before, the last fifth.
constexpr double kSurroundingsMm = 12;
constexpr double kRidge = 1e-3;
constexpr int kMostSweeps = 2000;
constexpr double kConverged = 1e-4;
constexpr Eigen::Index kNoiseLag = 4;  // 1 s
constexpr int kNumTimes = 300;
constexpr double kFirstS = 0.02;

double RiseAfter(const Eigen::VectorXd& weights, double time_s) {
  return (weights.array() * (1 - (-time_s / FormLags().array()).exp())).sum();
}

// Least squares with weights >= 0 and a touch of ridge, one weight at a time
// (ten of them: cyclic descent reaches the minimum of a convex function).
class LagFit {
 public:
  explicit LagFit(const Eigen::MatrixXd& lags) : lags_(lags), gram_(lags.transpose() * lags) {
    gram_.diagonal().array() += kRidge * kRidge * lags.squaredNorm();
  }
  [[nodiscard]] Eigen::VectorXd Weights(const Eigen::VectorXd& course) const {
    const Eigen::VectorXd target = lags_.transpose() * course;
    Eigen::VectorXd weights = Eigen::VectorXd::Zero(target.size());
    for (int sweep = 0; sweep < kMostSweeps; ++sweep) {
      double change = 0;
      for (Eigen::Index i = 0; i < weights.size(); ++i) {
        const double slope = target(i) - gram_.col(i).dot(weights);
        const double next = std::max(0.0, weights(i) + slope / gram_(i, i));
        change = std::max(change, std::abs(next - weights(i)));
        weights(i) = next;
      }
      if (change <= kConverged * weights.maxCoeff()) break;
    }
    return weights;
  }

 private:
  const Eigen::MatrixXd& lags_;
  Eigen::MatrixXd gram_;
};

double HalfTime(const Eigen::VectorXd& weights) {
  const double half_k = 0.5 * RiseAfter(weights, kStepS);
  const double factor = std::pow(kStepS / kFirstS, 1.0 / (kNumTimes - 1));
  double time_s = kFirstS;
  while (time_s < kStepS && RiseAfter(weights, time_s) < half_k) time_s *= factor;
  return time_s;
}

// Twice the radius at which the profile falls below a level.
double WidthAt(double level_k, const Eigen::VectorXd& profile_k, const Eigen::VectorXd& radius_mm) {
  for (Eigen::Index i = 1; i < profile_k.size(); ++i) {
    if (profile_k(i) >= level_k) continue;
    const double drop_k = std::max(profile_k(i - 1) - profile_k(i), 1e-12);
    const double share = std::clamp((profile_k(i - 1) - level_k) / drop_k, 0.0, 1.0);
    return 2 * (radius_mm(i - 1) + share * (radius_mm(i) - radius_mm(i - 1)));
  }
  return 2 * radius_mm(radius_mm.size() - 1);
}

}  // namespace

const Eigen::VectorXd& FormLags() {
  static const Eigen::VectorXd lags_s =
      (Eigen::VectorXd(10) << 0.03, 0.1, 0.25, 0.5, 1, 2, 4, 8, 20, 60).finished();
  return lags_s;
}

HeatForm MeasureForm(const RingCourses& rings, const Eigen::MatrixXd& lags, double noise_k) {
  HeatForm form;
  const Eigen::Index num = rings.radius_mm.size();
  if (num < 3) return form;
  const LagFit fit(lags);
  Eigen::VectorXd profile_k(num);
  for (Eigen::Index i = 0; i < num; ++i) {
    profile_k(i) = RiseAfter(fit.Weights(rings.mean_k.col(i)), kStepS);
  }
  const Eigen::VectorXd inner = rings.num_pixels.head(kMiddleRings);
  const Eigen::VectorXd middle =
      fit.Weights(rings.mean_k.leftCols(kMiddleRings) * inner / inner.sum());
  const double rise_k = RiseAfter(middle, kStepS);
  const Eigen::Index beyond = (rings.radius_mm.array() > kSurroundingsMm).count();
  const Eigen::Index outer = std::max({beyond, num / 5, Eigen::Index{1}});
  const double around_k =
      profile_k.tail(outer).dot(rings.num_pixels.tail(outer)) / rings.num_pixels.tail(outer).sum();
  if (rise_k - around_k <= 0) return form;
  profile_k.array() -= around_k;
  form.rise_k = rise_k;
  form.half_s = HalfTime(middle);
  form.width_mm = WidthAt(0.5 * (rise_k - around_k), profile_k, rings.radius_mm);
  const double noise_of_rise_k =
      noise_k / lags.col(kNoiseLag).norm() * std::sqrt(kPixelsPerIndependent / inner.sum());
  form.log_sigma = noise_of_rise_k / (rise_k - around_k);
  return form;
}

}  // namespace ohmglow
