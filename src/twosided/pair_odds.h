// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "ohmglow/result.h"
#include "twosided/pair_view.h"

namespace ohmglow {

/// How the name begins of what was asked of the same place in the farther capture.
inline constexpr std::string_view kBehind = "behind: ";

/// Sets the evidence of a place that two captures show: that of the nearer one, half
/// of what the other adds, and how well the two fit.
/// @param power_conflict  they disagree on its power.
/// @return  the log odds that a fault dissipates there against no fault in sight.
double JoinOdds(const PairView& pair, bool power_conflict, Candidate& place);

}  // namespace ohmglow
