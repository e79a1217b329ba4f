// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/align/board_maps.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Probability that the parts list is of the board in the photo, by the bodies of the
/// photo's side: 1 where they speak for it or where nothing can be said (no photo, no
/// landmarks that tie it to the board, a map that the list itself has made).
[[nodiscard]] double ListFits(const Case& job, const BoardMaps& maps);

}  // namespace ohmglow
