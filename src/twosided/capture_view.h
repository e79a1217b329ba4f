// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/geometry.h"
#include "ohmglow/input/case.h"
#include "ohmglow/result.h"
#include "twosided/board_place.h"
#include "twosided/side_evidence.h"

namespace ohmglow {

/// Highest current of a capture's levels [A]; 0 without levels.
[[nodiscard]] double TopAmps(const LocateResult& result);

/// How well a place fits a lead contact that the user marked in this capture, 0 .. 1.
[[nodiscard]] double ContactAt(const LocateResult& result,
                               const Case& job,
                               const BoardPlace& place);

/// What a capture shows at a board place that it does not list.
/// @param rise_factor  brings its rises to the reference current.
[[nodiscard]] PlaceView ViewUnlisted(const LocateResult& result,
                                     const BoardPlace& place,
                                     double rise_factor);

/// What it shows of one of its candidates.
[[nodiscard]] PlaceView ViewListed(const LocateResult& result,
                                   const Candidate& candidate,
                                   double rise_factor);

/// Reference frame pixel of a board place.
[[nodiscard]] Point FramePlace(const LocateResult& result, Point board_mm);

}  // namespace ohmglow
