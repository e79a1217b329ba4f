// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <vector>

#include "count_pages.h"
#include "kelvin_frames.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Whether the first frame's median, put through the scale, is a temperature a
/// board can have (200 .. 700 K): a wrong scale or degrees Celsius taken for
/// kelvin show here, not as a strange result.
/// @throws InputError  naming the settings to correct.
/// @param is_stated  the case says what a count is.
/// @throws InputError  where the first frame is no board at that scale; UnknownScaleError where
/// nobody stated one.
void CheckScale(const std::filesystem::path& source,
                CountPages& pages,
                const CountScale& scale,
                bool is_stated);

/// Board millimetres per frame pixel: the median over pairs of landmarks that
/// lie far apart, of their distance on the board by that in the frame.
/// @return  nothing with fewer than three landmarks that have board
///          coordinates, or where they coincide.
[[nodiscard]] std::optional<double> MmPerPixel(const std::vector<Landmark>& landmarks);

}  // namespace ohmglow
