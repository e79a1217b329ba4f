// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

#include "picture/color.h"

namespace ohmglow::internal {

/// Colours for signed values: zero is a neutral dark grey, warmer values grow
/// lighter through rose and amber to pale yellow, negative ones fall off into
/// deep blue. CIE L* changes evenly along the scale on each side of zero and
/// never falls, so order survives in a grey print and for the colour-blind.
/// Near zero the scale is stretched (inverse hyperbolic sine), so that a weak
/// place shows beside a strong one.
class ColorScale {
 public:
  /// @param low   value at the dark end; <= 0.
  /// @param high  value at the light end; > 0.
  ColorScale(double low, double high);

  [[nodiscard]] Color At(double value) const;  ///< Values outside are clamped.
  /// The same as a staircase, for many values that lie near each other: each colour from
  /// its value on, rising, the first from minus infinity.
  struct Step {
    double from;
    Color color;
  };
  [[nodiscard]] std::vector<Step> Steps() const;
  /// Where a value lies on the bar: 0 at `low`, 1 at `high`.
  [[nodiscard]] double Position(double value) const;
  [[nodiscard]] double ValueAt(double position) const;
  /// Round values (1, 2, 5 times a power of ten) and zero, at least
  /// `least_gap` (share of the bar) apart, rising.
  [[nodiscard]] std::vector<double> Ticks(double least_gap) const;
  [[nodiscard]] double low() const { return low_; }
  [[nodiscard]] double high() const { return high_; }

 private:
  [[nodiscard]] double Stretched(double value) const;

  double low_;
  double high_;
  std::array<Color, 256> positive_;
  std::array<Color, 256> negative_;
};

}  // namespace ohmglow::internal
