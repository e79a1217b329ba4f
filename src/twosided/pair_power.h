// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "ohmglow/result.h"
#include "twosided/pair_view.h"

namespace ohmglow {

/// Sets the power of a place from both captures, at the first one's current, and
/// what follows from it: share of the supply, resistance or drop and their remark.
/// @return  a sentence where the two disagree on the power.
[[nodiscard]] std::optional<Remark> JoinPairPower(const PairView& pair, Candidate& place);

}  // namespace ohmglow
