// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <vector>

#include "base/median.h"

namespace ohmglow::internal {

/// Standard deviations per median absolute deviation of a normal distribution.
inline constexpr double kSigmasPerMad = 1.4826;

/// Upper median; reorders `values`. 0 where there are none.
template <typename T>
[[nodiscard]] T MedianInPlace(std::vector<T>& values) {
  return values.empty() ? T{0} : MedianOf(values);
}

template <typename T>
[[nodiscard]] T Median(std::vector<T> values) {
  return MedianInPlace(values);
}

/// Tukey's biweight at 95 % efficiency for normal errors: 1 in the middle, 0 from 4.685 spreads on.
/// Source: Beaton, Tukey, Technometrics 16 (1974) 147-185.
[[nodiscard]] inline double TukeyWeight(double error, double spread) {
  constexpr double kReach = 4.685;
  const double u = error / (kReach * spread);
  return u * u >= 1 ? 0 : (1 - u * u) * (1 - u * u);
}

/// 1.4826 x median of |v - median|; reorders and overwrites `values`.
template <typename T>
[[nodiscard]] double RobustSigmaInPlace(std::vector<T>& values) {
  const T middle = MedianInPlace(values);
  for (T& v : values) v = std::abs(v - middle);
  return kSigmasPerMad * static_cast<double>(MedianInPlace(values));
}

}  // namespace ohmglow::internal
