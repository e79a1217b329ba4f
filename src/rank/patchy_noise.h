// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>

namespace ohmglow {

/// Neighbouring pixels share blur: this many count as one.
inline constexpr double kPixelsPerIndependent = 4;

/// Variance [K^2] by which what a model leaves over at a place is to be divided. Patches of copper
/// bend the heat over some 3.5 mm: of what is more than white noise, 64 pixels count as one.
/// @param chi2  what is left, squared, summed over num_data numbers [K^2].
/// @param noise_k  white noise of one number.
[[nodiscard]] inline double PatchyNoise(double chi2, double num_data, double noise_k) {
  constexpr double kPixelsPerPatch = 64;
  const double white2 = noise_k * noise_k;
  const double patchy2 = std::max(0.0, chi2 / num_data - white2);
  return white2 * kPixelsPerIndependent + patchy2 * kPixelsPerPatch;
}

}  // namespace ohmglow
