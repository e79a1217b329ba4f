// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace ohmglow {

/// The value below which about this share of the others lie; reorders them.
/// @param values  at least one.
/// @param share   0 (least) to 1 (largest).
template <typename T>
[[nodiscard]] T QuantileOf(std::vector<T>& values, double share) {
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

}  // namespace ohmglow
