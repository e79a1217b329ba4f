// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/result.h"
#include "rank/spot.h"

namespace ohmglow {

/// What the evidence says of one place.
struct Judgement {
  /// Logarithm of the odds that a fault dissipates here against no fault in sight.
  double log_odds = 0;
  std::vector<Remark> remarks;     ///< One for each piece that moved it.
  std::vector<Evidence> evidence;  ///< The product of its factors are the odds.

  [[nodiscard]] double plausibility() const;  ///< The odds as a probability.
};

/// How near a place is to a lead contact: 1 at it, 0 beyond its reach.
[[nodiscard]] double NearContact(const Spot& spot);

/// Weighs the evidence of one place by itself: detection, follows the supply,
/// exponent, lead contact, lead wire or track, on the board and on a part.
/// @param threshold  height of the map that noise alone rarely reaches.
[[nodiscard]] Judgement JudgeSpot(const Spot& spot, double threshold);

/// Adds what the other places say: currents that feed a short warm tracks and
/// coils as well, so a far weaker place is less likely the fault.
/// @param heaviest_w  power of the strongest place, each weighed by its plausibility.
void JudgeAmongOthers(double power_w, double heaviest_w, Judgement& judgement);

}  // namespace ohmglow
