// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "ini_file.h"
#include "kelvin_frames.h"

namespace ohmglow {

/// How a case file turns counts into apparent temperature other than by
/// frames.scale and frames.zero: by frames.table or by the frames.curve_* keys.
/// Nothing where it names neither.
/// @throws InputError  where it names two ways, a part of a curve only, or one
///         that has no inverse.
[[nodiscard]] std::optional<CountScale> ReadOtherScale(const IniFile& ini);

/// Whether a case file says what counts mean, one way or another.
[[nodiscard]] bool StatesScale(const IniFile& ini);

/// The window between camera and board, from surface.window_transmission and
/// surface.window_c, put into `surface`.
/// @return  whether a window is given whose temperature is not: it is then that
///          of surface.reflected_c.
/// @throws InputError
bool ReadWindow(const IniFile& ini, SurfaceOptions& surface);

}  // namespace ohmglow
