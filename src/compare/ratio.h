// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// A map of strengths with its scale.
struct StrengthView {
  Image map;
  Mask seen;
  double mm_per_pixel = 0.5;
};

/// The strength of one place in a second view over that in the first.
struct RatioFit {
  double ratio = 0;
  double sigma = 9;   ///< Standard error where nothing is there: what the map shows elsewhere.
  bool seen = false;  ///< The place lies in the second view.
};

/// Fits the second map by the shape that the first has around the place. The
/// spread of the same fit at other places of the second map, where there is
/// heat that has nothing to do with it, noise and edges, is its error, and at
/// least half of what the ratio lies below zero.
/// @param at_px   the place in the first view.
/// @param rivals  other places of the first view: what is closer to them is theirs.
[[nodiscard]] RatioFit FitRatio(const StrengthView& first,
                                const StrengthView& second,
                                const PlaneMap& second_from_first,
                                Point at_px,
                                const std::vector<Point>& rivals_px);

}  // namespace ohmglow
