// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "picture/canvas.h"

namespace ohmglow::internal {

// One look for all pictures. Marks also differ in line style and fill, so that
// a grey print says the same. Each text pair reaches 4.5 : 1 (WCAG 2.2, 1.4.3).
inline constexpr Color kPaper{1, 1, 1, 1};
inline constexpr Color kInk{0.10, 0.11, 0.12, 1};
inline constexpr Color kSoftInk{0.33, 0.35, 0.37, 1};
inline constexpr Color kStrong{0.66, 0.24, 0.0, 1};  ///< Badge of a place that may be the fault.
inline constexpr Color kStrongText{1, 1, 1, 1};
inline constexpr Color kWeak{0.93, 0.94, 0.95, 1};  ///< Badge of any other place.
inline constexpr Color kWeakText{0.20, 0.21, 0.23, 1};
inline constexpr Color kRing{1.0, 0.72, 0.16, 1};
inline constexpr Color kWeakRing{1, 1, 1, 1};
inline constexpr Color kHalo{0.05, 0.05, 0.06, 1};

/// Sizes as shares of the picture's width: at 400 px across, the headline is
/// 13 px high and the numerals 10 px.
struct TypeSizes {
  explicit TypeSizes(double width_px)
      : headline_px(0.032 * width_px),
        detail_px(0.023 * width_px),
        card_px(0.0178 * width_px),
        numeral_px(0.025 * width_px),
        badge_radius_px(0.0185 * width_px),
        line_px(0.0022 * width_px),
        gap_px(0.014 * width_px) {}
  double headline_px;
  double detail_px;
  double card_px;
  double numeral_px;
  double badge_radius_px;
  double line_px;
  double gap_px;
};

}  // namespace ohmglow::internal
