// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/align/board_maps.h"
#include "ohmglow/input/case.h"
#include "rank/spot.h"

namespace ohmglow {

/// Object size of a frame pixel at a place [mm].
[[nodiscard]] double ScaleAt(const BoardMaps& maps, const Case& job, Point frame_px);

/// Standard error of a spot's place, per axis [px]: noise, registration and
/// patchy copper.
[[nodiscard]] double SigmaPx(const Spot& spot);

/// Says on which side a spot dissipates, where it lies on the board and which
/// parts may be it; these depend on each other. Rests on `spot.fit`.
void PlaceSpot(const BoardMaps& maps, const Case& job, Spot& spot);

}  // namespace ohmglow
