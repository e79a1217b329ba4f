// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/change.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/normal_density.h"

namespace ohmglow {
namespace {

constexpr double kLargestRatio = 6;
constexpr int kSteps = 1200;
constexpr double kWeakerBelow = 0.65;
constexpr double kStrongerAbove = 1.5;
constexpr double kLikely = 0.6;
constexpr double kRelativeError = 0.1;
constexpr double kMostLeft = 0.4;
constexpr double kOneSided = 1.645;  // 95 % quantile of the normal distribution.
// Of the power's logarithm, to four standard errors; finer than the ratio's
// error ever is, or the limit would come out in steps.
constexpr int kQuantiles = 80;
constexpr double kQuantileStep = 0.05;

double LogNormal(double r, double center, double sigma) {
  return r > 0 ? NormalDensity((std::log(r) - std::log(center)) / sigma, 1) / (r * sigma) : 0;
}

// Density of the ratio before AFTER was looked at.
double Prior(double r) {
  constexpr double kNothing = 0.03;  // What counts as nothing, as a spread.
  const double gone = 2 * NormalDensity(r / kNothing, 1) / kNothing;
  const double weaker = r < 1 ? 1 : 0;
  return 0.45 * gone + 0.40 * LogNormal(r, 1, 0.2) + 0.10 * weaker + 0.05 * LogNormal(r, 1.8, 0.4);
}

}  // namespace

ChangeProbs JudgeChange(double ratio, double sigma, double gone_share) {
  // Beyond what is summed over it is all the same.
  ratio = std::min(ratio, kLargestRatio);
  ChangeProbs out;
  const double step = kLargestRatio / kSteps;
  for (int i = 0; i < kSteps; ++i) {
    const double r = (i + 0.5) * step;
    const double error = std::hypot(sigma, kRelativeError * r);
    // Tails fatter than normal: a place may be disturbed by what is no noise.
    const double miss = (ratio - r) / error;
    const double density = Prior(r) * std::pow(1 + miss * miss / 4, -2.5) / error * step;
    if (r < gone_share) {
      out.gone += density;
    } else if (r < kWeakerBelow) {
      out.weaker += density;
    } else if (r < kStrongerAbove) {
      out.unchanged += density;
    } else {
      out.stronger += density;
    }
  }
  const double total = out.gone + out.weaker + out.unchanged + out.stronger;
  if (total <= 0) return {0.25, 0.25, 0.25, 0.25};
  return {out.gone / total, out.weaker / total, out.unchanged / total, out.stronger / total};
}

PlaceChange LikeliestChange(const ChangeProbs& probs) {
  if (probs.gone >= kLikely) return PlaceChange::kGone;
  if (probs.weaker >= kLikely) return PlaceChange::kWeaker;
  if (probs.unchanged >= kLikely) return PlaceChange::kUnchanged;
  if (probs.stronger >= kLikely) return PlaceChange::kStronger;
  // It is still there, though how strong is open.
  if (probs.gone < 1 - kLikely && probs.weaker + probs.unchanged + probs.stronger >= 0.9) {
    return probs.weaker > probs.stronger ? PlaceChange::kWeaker : PlaceChange::kStronger;
  }
  return PlaceChange::kUnknown;
}

bool MayBeLeft(double ratio, double sigma) {
  return std::max(0.0, ratio) + kOneSided * sigma > kMostLeft;
}

double UpperLimit(double ratio, double sigma, double power_w, double power_log_sigma) {
  // P(ratio x power <= limit) by summing over the power's quantiles.
  const auto phi = [](double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); };
  const double below_zero = phi(-ratio / sigma);
  const auto prob = [&](double limit) {
    double sum = 0;
    double norm = 0;
    for (int i = -kQuantiles; i <= kQuantiles; ++i) {
      const double z = i * kQuantileStep;
      const double r = limit / (power_w * std::exp(power_log_sigma * z));
      const double inside =
          (phi((r - ratio) / sigma) - below_zero) / std::max(1e-12, 1 - below_zero);
      sum += NormalDensity(z, 1) * std::max(0.0, inside);
      norm += NormalDensity(z, 1);
    }
    return sum / norm;
  };
  double low = 0;
  double high = power_w * (std::abs(ratio) + 6 * sigma) * std::exp(4 * power_log_sigma) + 1e-12;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (prob(middle) < 0.95 ? low : high) = middle;
  }
  return high;
}

}  // namespace ohmglow
