// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// Parts of the list of which the frames showed less than half: beyond the view,
/// or masked. What was found, or not, says nothing of them. Parts of the other
/// side count by their place: the heat of what lies behind the view shows.
/// @param result  with a board map, size of the frames and, if made, `limit_w`, which
///                is NaN where nothing was seen. Without a map: empty, as nothing is known.
[[nodiscard]] std::vector<Part> PartsNotInView(const std::vector<Part>& parts,
                                               const LocateResult& result);

/// Those of one side.
[[nodiscard]] std::vector<Part> PartsOn(BoardSide side, const std::vector<Part>& parts);

/// Parts that are in both lists, by name and side: seen by neither of two captures.
[[nodiscard]] std::vector<Part> InBoth(const std::vector<Part>& some,
                                       const std::vector<Part>& others);

/// "U7, C12 and 5 others of the list": a few names, the largest parts first. Empty without parts.
[[nodiscard]] Remark NamesOf(const std::vector<Part>& parts);

}  // namespace ohmglow
