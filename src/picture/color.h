// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace ohmglow::internal {

/// An sRGB colour, each part 0 .. 1.
struct Color {
  double red = 0;
  double green = 0;
  double blue = 0;
  double alpha = 1;
};

/// Relative luminance, 0 .. 1, alpha left out.
/// Source: WCAG 2.2 (W3C 2023), relative luminance.
[[nodiscard]] double Luminance(Color color);

/// Contrast of two opaque colours, 1 .. 21.
/// Source: WCAG 2.2, contrast ratio.
[[nodiscard]] double ContrastRatio(Color a, Color b);

/// CIE 1976 lightness L*, 0 .. 100. Source: CIE 15.
[[nodiscard]] double Lightness(Color color);

}  // namespace ohmglow::internal
