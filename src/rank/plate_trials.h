// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/plate.h"

namespace ohmglow {

/// What is given of the board; unset members are fitted or derived.
struct PlatePrior {
  Plate plate;               ///< Film, capacity and thickness are taken as they are.
  bool sheet_known = false;  ///< `plate.sheet_conductance_w_k` was given.
  double blur_px = 0.7;      ///< Standard deviation of the camera's blur.
  /// `plate.heat_capacity_j_m2k` is the bare laminate's: copper, as much as the
  /// sheet conductance speaks of, and the parts on the board come on top.
  bool bare_laminate = false;
};

/// A board that may be the true one.
struct PlateTrial {
  Plate plate;
  double log_prior = 0;  ///< Before looking.
};

/// Steps between the boards of `PlateTrials`, in logarithms: nothing is known better.
inline constexpr double kSheetLogStep = 0.47;
inline constexpr double kCapacityLogStep = 0.15;
inline constexpr double kFilmLogStep = 0.3;

/// Boards of all usual sheet conductances, or about the given one; capacity
/// and film as the prior has them.
[[nodiscard]] std::vector<PlateTrial> SheetTrials(const PlatePrior& prior);

/// Boards that differ in heat capacity and film as well.
[[nodiscard]] std::vector<PlateTrial> PlateTrials(const PlatePrior& prior);

}  // namespace ohmglow
