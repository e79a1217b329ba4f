// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// A capture whose frames are no temperatures, without what would turn them into
/// watts: the supply's volts, which the heat of a place cannot be held against.
[[nodiscard]] Case WithoutVolts(const Case& job);

/// Makes a result relative: rises become shares of the largest one among the places
/// (of the response, where there are none), and what needs kelvin is taken out:
/// power, limits, resistance, the board's conductance.
void ToRelative(LocateResult& result);

/// The same for what was registered: its noise on another scale, words without kelvin.
void ToRelative(double factor, Alignment& alignment);

/// Lowers the confidence in places whose pictures were clipped at their warm end, which
/// may hide another place or how the heat goes with the current, and says so.
/// @param clipped_share  see ClippedShare(); empty: nothing was.
void DoubtClipped(const Image& clipped_share, LocateResult& result);

}  // namespace ohmglow
