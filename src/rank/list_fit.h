// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/align/board_maps.h"
#include "ohmglow/base/remark.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Probability that the parts list is of the board in the photo, by the bodies of the
/// photo's side: 1 where they speak for it or where nothing can be said (no photo, no
/// landmarks that tie it to the board, a map that the list itself has made).
[[nodiscard]] double ListFits(const Case& job, const BoardMaps& maps);

/// What is said of a list that is probably not of this board; empty where it may well be.
/// @param list_fits  from ListFits().
[[nodiscard]] Remark DoubtOfList(double list_fits);

}  // namespace ohmglow
