// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/joint_power.h"

#include <algorithm>
#include <cmath>

namespace ohmglow {
namespace {

constexpr double kSigmas = 1.96;
// Heat capacity and film are the same assumption in both captures.
constexpr double kSharedLogSigma = 0.18;
constexpr double kLeastOwnLogSigma = 0.05;
// A kernel of the wrong side misreads the power by about this.
constexpr double kWrongSideLogSigma = 0.4;
constexpr double kConflictSigmas = 2.5;

}  // namespace

LogPower PowerOf(const Candidate& candidate, double factor, bool wrong_side) {
  LogPower out{factor * candidate.power_w, 1};
  if (candidate.power_low_w > 0 && candidate.power_high_w > candidate.power_low_w) {
    out.log_sigma = std::log(candidate.power_high_w / candidate.power_low_w) / (2 * kSigmas);
  }
  if (wrong_side) out.log_sigma = std::hypot(out.log_sigma, kWrongSideLogSigma);
  return out;
}

JointPower JoinPowers(const LogPower& near, const LogPower& far) {
  const auto own = [](const LogPower& power) {
    const double variance = power.log_sigma * power.log_sigma - kSharedLogSigma * kSharedLogSigma;
    return std::sqrt(std::max(variance, kLeastOwnLogSigma * kLeastOwnLogSigma));
  };
  const auto low = [](const LogPower& p) { return p.power_w * std::exp(-kSigmas * p.log_sigma); };
  const auto high = [](const LogPower& p) { return p.power_w * std::exp(kSigmas * p.log_sigma); };
  if (!(far.power_w > 0)) return {near.power_w, low(near), high(near), false};
  if (!(near.power_w > 0)) return {far.power_w, low(far), high(far), false};
  const double apart = std::log(near.power_w / far.power_w);
  if (std::abs(apart) > kConflictSigmas * std::hypot(own(near), own(far))) {
    return {near.power_w, std::min(low(near), low(far)), std::max(high(near), high(far)), true};
  }
  const double near_weight = 1 / (own(near) * own(near));
  const double far_weight = 1 / (own(far) * own(far));
  const double log_power =
      (near_weight * std::log(near.power_w) + far_weight * std::log(far.power_w)) /
      (near_weight + far_weight);
  const double sigma = std::hypot(kSharedLogSigma, 1 / std::sqrt(near_weight + far_weight));
  return {std::exp(log_power),
          std::exp(log_power - kSigmas * sigma),
          std::exp(log_power + kSigmas * sigma),
          false};
}

}  // namespace ohmglow
