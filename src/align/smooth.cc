// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/smooth.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "align/robust.h"

namespace ohmglow::internal {
namespace {

constexpr double kJumpSigmas = 6;
constexpr double kLeastWalk = 1e-4;  // Of the noise: a hundred frames may still differ.

struct WalkModel {
  double step = 0;   // q
  double noise = 0;  // r
};

WalkModel FitModel(const std::vector<double>& differences, double bound_variance) {
  std::vector<double> spread = differences;
  const double clip = 4 * RobustSigmaInPlace(spread);
  double square = 0, product = 0, before = 0;
  for (std::size_t i = 0; i < differences.size(); ++i) {
    const double d = std::clamp(differences[i], -clip, clip);
    square += d * d;
    product += d * before;
    before = d;
  }
  const double n = static_cast<double>(differences.size());
  WalkModel model;
  model.noise = std::clamp(-product / n, 1e-4 * bound_variance, bound_variance);
  model.step = std::max(square / n - 2 * model.noise, kLeastWalk * model.noise);
  return model;
}

}  // namespace

SmoothSeries SmoothWalk(const std::vector<double>& measured, double bound_variance) {
  const std::size_t n = measured.size();
  SmoothSeries out{measured, std::vector<double>(n, bound_variance)};
  if (n < 8) return out;  // Too few to tell noise from motion.
  std::vector<double> difference(n - 1);
  for (std::size_t i = 0; i + 1 < n; ++i) difference[i] = measured[i + 1] - measured[i];
  const WalkModel model = FitModel(difference, bound_variance);
  const double jump = kJumpSigmas * std::sqrt(model.step + 2 * model.noise);

  std::vector<double> ahead(n, model.noise);  // Variance of the prediction from before.
  out.variance[0] = model.noise;
  for (std::size_t i = 1; i < n; ++i) {
    const double d = difference[i - 1];
    ahead[i] = out.variance[i - 1] + (std::abs(d) > jump ? d * d : model.step);
    const double gain = ahead[i] / (ahead[i] + model.noise);
    out.value[i] = out.value[i - 1] + gain * (measured[i] - out.value[i - 1]);
    out.variance[i] = (1 - gain) * ahead[i];
  }
  for (std::size_t i = n - 1; i-- > 0;) {
    const double gain = out.variance[i] / ahead[i + 1];
    out.value[i] += gain * (out.value[i + 1] - out.value[i]);
    out.variance[i] += gain * gain * (out.variance[i + 1] - ahead[i + 1]);
  }
  return out;
}

}  // namespace ohmglow::internal
