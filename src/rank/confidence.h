// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/result.h"
#include "rank/spot.h"

namespace ohmglow {

inline constexpr const char* kByItselfRemark =
    "Its heat looks switched on or off once, by itself, rather than with the steps.";

/// What the evidence says of one place.
struct Judgement {
  double plausibility = 0;           ///< That a fault's heat is seen here, weaker rivals apart.
  std::vector<std::string> remarks;  ///< A sentence for each piece of evidence that moved it.
  std::vector<Evidence> evidence;    ///< Its factors; their product is the plausibility.
};

/// Multiplies the factors of the evidence: detection, follows the supply,
/// exponent, lead contact, lead wire or track, off the board.
/// @param threshold  height of the map that noise alone rarely reaches.
[[nodiscard]] Judgement JudgeSpot(const Spot& spot, double threshold);

}  // namespace ohmglow
