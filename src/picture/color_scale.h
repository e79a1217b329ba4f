// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

#include "picture/color.h"

namespace ohmglow::internal {

/// Colours for signed values: zero is a neutral dark grey, warmer values grow
/// lighter through rose and amber to pale yellow, negative ones fall off into
/// deep blue. CIE L* rises evenly on each side of zero and never falls, so
/// order survives in a grey print and for the colour-blind.
class ColorScale {
 public:
  /// @param low   value at the dark end; <= 0.
  /// @param high  value at the light end; > 0.
  ColorScale(double low, double high);

  [[nodiscard]] Color At(double value) const;  ///< Values outside are clamped.
  [[nodiscard]] double low() const { return low_; }
  [[nodiscard]] double high() const { return high_; }

 private:
  double low_;
  double high_;
  std::array<Color, 256> positive_;
  std::array<Color, 256> negative_;
};

/// Round values (1, 2, 5 times a power of ten apart) inside low .. high, zero
/// among them where it lies inside; at most `max_count`.
[[nodiscard]] std::vector<double> RoundTicks(double low, double high, int max_count);

}  // namespace ohmglow::internal
