// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>

#include "heat/drive.h"
#include "heat/response.h"
#include "heat/temporal_model.h"
#include "ohmglow/input/case.h"
#include "rank/peaks.h"
#include "rank/place_courses.h"

namespace ohmglow {

/// A clock under which places follow the supply that do not under the present
/// one: something that came by itself may have passed for the steps. Every place
/// is heat of the supply or has a course of its own; the offset is that which
/// makes the picture most probable.
/// @param log       as the offsets move it.
/// @param offset_s  the present one.
/// @param range_s   how far from 0 another may lie.
/// @return          log time + this = frame time, to a quarter of a second; nothing
///                  where none does clearly better than the present one, or
///                  where places are beyond the camera's range.
[[nodiscard]] std::optional<double> BetterClock(const Response& response,
                                                std::span<const Peak> places,
                                                const SupplyLog& log,
                                                TimeSpan filmed,
                                                double offset_s,
                                                double range_s,
                                                PlaceCourses& courses);

}  // namespace ohmglow
