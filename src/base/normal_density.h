// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <numbers>

namespace ohmglow {

/// Of a normal distribution about zero.
[[nodiscard]] inline double NormalDensity(double x, double sigma) {
  return std::exp(-0.5 * x * x / (sigma * sigma)) / (sigma * std::sqrt(2 * std::numbers::pi));
}

}  // namespace ohmglow
