// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/motion.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "align/robust.h"
#include "align/warp.h"

namespace ohmglow::internal {
namespace {

constexpr double kDegPerRad = 180.0 / std::numbers::pi;
constexpr int kMarginPx = 4;  // The high-pass is not to be trusted at the rim.
constexpr float kTukey = 4.685F;
constexpr double kLeastUncertaintyPx = 0.1;  // What a learned model may still be off.
constexpr double kUncertaintyRatio = 0.4;    // From one step to the next.
constexpr double kConvergedPx = 4e-3;        // Far below any bound that was ever met.
constexpr std::size_t kSigmaStep = 8;        // Every n-th residual is enough for a median.

// Derivative by the five-point rule, exact for quartics.
float Slope(float m2, float m1, float p1, float p2) { return (8 * (p1 - m1) - (p2 - m2)) / 12; }

cv::Vec4f Derivatives(float x, float y, float dx, float dy, float radius) {
  return {dx, dy, (dy * x - dx * y) / radius, (dx * x + dy * y) / radius};
}

bool Invert(const cv::Matx44d& information, cv::Matx44d& covariance) {
  cv::Vec4d values;
  cv::Matx44d vectors;
  cv::eigen(information, values, vectors);
  if (!(values[3] > 1e-9 * values[0]) || !(values[3] > 0)) return false;
  covariance = information.inv(cv::DECOMP_CHOLESKY);
  return true;
}

}  // namespace

double RmsRadius(cv::Size size_px) {
  const double w = size_px.width;
  const double h = size_px.height;
  return std::sqrt((w * w + h * h - 2) / 12);
}

MotionVector ToVector(const Similarity& motion, cv::Size size_px) {
  const double radius = RmsRadius(size_px);
  return {motion.dx_px,
          motion.dy_px,
          motion.rotation_deg / kDegPerRad * radius,
          std::log(motion.scale) * radius};
}

Similarity ToSimilarity(const MotionVector& v, cv::Size size_px) {
  const double radius = RmsRadius(size_px);
  return {v[0], v[1], v[2] / radius * kDegPerRad, std::exp(v[3] / radius)};
}

Texture::Texture(const Image& model_k, const Image& weight, int max_points)
    : size_px_(model_k.size()), radius_px_(RmsRadius(model_k.size())) {
  const float cx = 0.5F * static_cast<float>(model_k.cols - 1);
  const float cy = 0.5F * static_cast<float>(model_k.rows - 1);
  std::vector<float> steepness;
  for (int r = kMarginPx; r < model_k.rows - kMarginPx; ++r) {
    const float* m = model_k[r];
    for (int c = kMarginPx; c < model_k.cols - kMarginPx; ++c) {
      const float w = weight(r, c);
      if (!(w > 0)) continue;
      const float dx = Slope(m[c - 2], m[c - 1], m[c + 1], m[c + 2]);
      const float dy =
          Slope(model_k(r - 2, c), model_k(r - 1, c), model_k(r + 1, c), model_k(r + 2, c));
      places_.push_back({static_cast<float>(c) - cx, static_cast<float>(r) - cy, m[c], dx, dy, w});
      steepness.push_back(w * (dx * dx + dy * dy));
    }
  }
  const auto limit = static_cast<std::size_t>(std::max(max_points, 1));
  if (places_.size() > limit) {
    std::vector<float> ordered = steepness;
    const auto cut = ordered.begin() + static_cast<std::ptrdiff_t>(limit);
    std::nth_element(ordered.begin(), cut, ordered.end(), std::greater<>());
    std::size_t kept = 0;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      if (steepness[i] > *cut) places_[kept++] = places_[i];
    }
    places_.resize(kept);
  }
  for (const Place& p : places_) {
    const cv::Vec4d j = Derivatives(p.x, p.y, p.dx, p.dy, static_cast<float>(radius_px_));
    for (int a = 0; a < 4; ++a) {
      for (int b = 0; b < 4; ++b) information_(a, b) += static_cast<double>(p.weight) * j[a] * j[b];
    }
  }
}

double Texture::BoundPx(double noise_k) const {
  cv::Matx44d covariance;
  if (!Invert(information_, covariance)) return std::numeric_limits<double>::infinity();
  return noise_k * std::sqrt(cv::trace(covariance));
}

namespace {

// The frame at one place by cubic convolution; false outside.
bool Sample(const Image& frame, float x, float y, float& value) {
  const float fx = std::floor(x);
  const float fy = std::floor(y);
  const int c = static_cast<int>(fx);
  const int r = static_cast<int>(fy);
  if (c < 1 || r < 1 || c + 2 >= frame.cols || r + 2 >= frame.rows) return false;
  const auto u = CubicWeights(x - fx);
  const auto v = CubicWeights(y - fy);
  const std::size_t stride = frame.step1();
  const float* p = frame[r - 1] + c - 1;
  float sum = 0;
  for (int k = 0; k < 4; ++k, p += stride) {
    sum += v[static_cast<std::size_t>(k)] * (u[0] * p[0] + u[1] * p[1] + u[2] * p[2] + u[3] * p[3]);
  }
  value = sum;
  return true;
}

}  // namespace

MotionFit Texture::Fit(const Image& frame_k,
                       const Similarity& start,
                       int iterations,
                       double uncertainty_px) const {
  MotionFit fit;
  fit.frame_from_reference = start;
  fit.covariance_px2 = cv::Matx44d::eye() * std::numeric_limits<double>::infinity();
  cv::Matx44d inverse;
  if (!Invert(information_, inverse)) return fit;

  std::vector<float> value(places_.size()), residual(places_.size()), sampled;
  std::vector<char> inside(places_.size());
  const float radius = static_cast<float>(radius_px_);
  for (int iteration = 0; iteration < iterations; ++iteration) {
    const cv::Matx23f m(fit.frame_from_reference.Matrix(size_px_));
    const float ox = m(0, 2) + 0.5F * (m(0, 0) * static_cast<float>(size_px_.width - 1) +
                                       m(0, 1) * static_cast<float>(size_px_.height - 1));
    const float oy = m(1, 2) + 0.5F * (m(1, 0) * static_cast<float>(size_px_.width - 1) +
                                       m(1, 1) * static_cast<float>(size_px_.height - 1));
    sampled.clear();
    for (std::size_t i = 0; i < places_.size(); ++i) {
      const Place& p = places_[i];
      inside[i] = Sample(frame_k,
                         m(0, 0) * p.x + m(0, 1) * p.y + ox,
                         m(1, 0) * p.x + m(1, 1) * p.y + oy,
                         value[i]);
      residual[i] = value[i] - p.value_k;
      if (inside[i] && i % kSigmaStep == 0) sampled.push_back(residual[i]);
    }
    if (sampled.size() < 16) return fit;
    fit.sigma_k = std::max(1e-6, RobustSigmaInPlace(sampled));

    // A place off by the uncertainty is off by that times its slope: no outlier.
    const float sigma = static_cast<float>(fit.sigma_k);
    const float white = sigma * sigma;
    const float unsure = static_cast<float>(uncertainty_px * uncertainty_px);
    cv::Vec4d gradient;
    double kept = 0, total = 0, vm = 0, vv = 0, mm = 0;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      const Place& p = places_[i];
      total += static_cast<double>(p.weight);
      const float e = residual[i];
      const float usual = white / p.weight + unsure * (p.dx * p.dx + p.dy * p.dy);
      const float t = 1 - e * e / (kTukey * kTukey * usual);
      if (!inside[i]) continue;
      // Outliers count here: a frame of something else has little but outliers.
      vm += static_cast<double>(p.weight * value[i] * p.value_k);
      vv += static_cast<double>(p.weight * value[i] * value[i]);
      mm += static_cast<double>(p.weight * p.value_k * p.value_k);
      if (t <= 0) continue;
      const float w = p.weight * t * t;
      const cv::Vec4f j = Derivatives(p.x, p.y, p.dx, p.dy, radius);
      const float we = w * e;
      for (int k = 0; k < 4; ++k) gradient[k] += static_cast<double>(we * j[k]);
      kept += static_cast<double>(w);
    }
    if (!(kept > 0)) return fit;
    fit.correlation = vv * mm > 0 ? vm / std::sqrt(vv * mm) : 0;
    // The information is not summed anew: robust weights only thin it out.
    const double gain = total / kept;
    fit.covariance_px2 = inverse * (gain * fit.sigma_k * fit.sigma_k);
    const cv::Vec4d step = (inverse * gradient) * gain;
    fit.frame_from_reference =
        fit.frame_from_reference.After(ToSimilarity(step, size_px_).Inverse());
    if (cv::norm(step) < kConvergedPx && uncertainty_px <= kLeastUncertaintyPx) break;
    uncertainty_px = std::max(kUncertaintyRatio * uncertainty_px, kLeastUncertaintyPx);
  }
  return fit;
}

}  // namespace ohmglow::internal
