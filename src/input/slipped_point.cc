// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "slipped_point.h"

#include <algorithm>
#include <cmath>

namespace ohmglow {
namespace {

constexpr double kAgree = 0.05;

bool IsSlip(double value, double usual) {
  const double decades = std::log10(std::abs(value / usual));
  const double whole = std::round(decades);
  return std::abs(whole) >= 1 && std::abs(whole) <= 3 &&
         std::abs(decades - whole) < std::log10(1 + kAgree);
}

}  // namespace

std::vector<std::size_t> FindSlippedPoints(std::span<const double> values) {
  std::vector<std::size_t> slipped;
  for (std::size_t i = 2; i + 2 < values.size(); ++i) {
    const auto [least, most] =
        std::minmax({values[i - 2], values[i - 1], values[i + 1], values[i + 2]});
    const bool agree = least > 0 && most - least <= kAgree * most;
    if (agree && values[i] > 0 && IsSlip(values[i], (least + most) / 2)) slipped.push_back(i);
  }
  return slipped;
}

}  // namespace ohmglow
