// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/screening.h"
#include "align/screening_sums.h"

namespace ohmglow::internal {

/// Excludes frames in which something else than the board is seen: blocks that
/// reach from the rim of the picture inwards become warmer or colder than
/// anything around them within a few frames, and return. What stays to the end
/// for long is told as an event and nothing is excluded; heat on the board goes
/// on rising, does not come from the rim, and does not leave within a few frames.
/// The least step is 1 K: an absolute size, for an object differs from a board
/// by the temperature of a skin or a tool.
void FindCovered(const std::vector<FrameProfile>& profiles, Screening& result);

}  // namespace ohmglow::internal
