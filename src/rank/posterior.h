// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

namespace ohmglow {

struct Posterior {
  std::vector<double> fault_prob;  ///< Of each place, in the order of the odds.
  double none_prob = 1;            ///< That none of the places is a fault.
};

/// Weighs every set of none, one or two faults among the places: a set's weight
/// is the product of its places' odds against no fault in sight, and a second
/// fault costs its rarity. So the places share the probability, one clear place
/// takes it from the doubtful ones beside it, and two clear ones stand both.
/// @param log_odds       each place by itself.
/// @param second_factor  what the odds of a second fault are multiplied by, > 0.
[[nodiscard]] Posterior FaultPosterior(const std::vector<double>& log_odds, double second_factor);

}  // namespace ohmglow
