// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace ohmglow::internal {

/// Standard deviations per median absolute deviation of a normal distribution.
inline constexpr double kSigmasPerMad = 1.4826;

/// Upper median; reorders `values`. 0 where there are none.
template <typename T>
[[nodiscard]] T MedianInPlace(std::vector<T>& values) {
  if (values.empty()) return T{0};
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

template <typename T>
[[nodiscard]] T Median(std::vector<T> values) {
  return MedianInPlace(values);
}

/// 1.4826 x median of |v - median|; reorders and overwrites `values`.
template <typename T>
[[nodiscard]] double RobustSigmaInPlace(std::vector<T>& values) {
  const T middle = MedianInPlace(values);
  for (T& v : values) v = std::abs(v - middle);
  return kSigmasPerMad * static_cast<double>(MedianInPlace(values));
}

}  // namespace ohmglow::internal
