// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/input/case.h"
#include "rank/heat_form.h"

namespace ohmglow {

enum class PartClass { kChip, kMoulded, kPower, kCover, kOther };

/// Class of a part by the list's word for its kind or, where it has none, by
/// the letters of its reference (common practice of circuit diagrams).
[[nodiscard]] PartClass ClassOf(const Part& part);

/// How likely a part is to be what a short heats, over a chip capacitor.
[[nodiscard]] double ShortWeight(const Part& part);

/// A shield or can: bare metal shows a tenth of its heat.
[[nodiscard]] bool HasMetalTop(const Part& part);

/// How far [mm] heat of a part on the far side comes out from where it is made.
[[nodiscard]] double FarShiftMm(const Part& part);

/// Density of the measured form, in log(width) and log(time), if this part
/// dissipates; 1 where the form is not known.
/// @param near  the part is on the side that faces the camera.
[[nodiscard]] double FormDensity(const HeatForm& form, const Part& part, bool near);

/// The same for whatever stands in no list: chips, tracks and bodies of any size.
/// @param body_share  of those on the camera's side that are bodies rather than chips or tracks.
[[nodiscard]] double UnlistedFormDensity(const HeatForm& form, bool near, double body_share = 0.5);

}  // namespace ohmglow
