// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>

#include "heat/drive.h"
#include "heat/response.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/remark.h"
#include "ohmglow/input/case.h"
#include "rank/peaks.h"
#include "rank/place_courses.h"

namespace ohmglow {

/// What the lively places of a picture say of the clock.
struct ClockHearing {
  std::optional<double>
      better_s;           ///< An offset that does clearly better, to a quarter of a second.
  double spread_s = 0;    ///< What other humps of the posterior add to the standard error.
  double rival_s = 0;     ///< The best of these ...
  double rival_prob = 0;  ///< ... and the probability of all.
};

/// Hears the clock: places may follow the supply that do not under the present
/// one, since something that came by itself may have passed for the steps. Every lively
/// place, explained by the present clock or not, is heat of the supply or has a course
/// of its own, switched on or off once or smooth; the posterior over the offsets weighs
/// all of them together.
/// @param log       as the offsets move it.
/// @param offset_s  the present one; log time + this = frame time.
/// @param range_s   how far from 0 another may lie.
/// @return          nothing said where places are beyond the camera's range.
[[nodiscard]] ClockHearing HearClock(const Response& response,
                                     std::span<const Peak> places,
                                     const SupplyLog& log,
                                     TimeSpan filmed,
                                     double offset_s,
                                     double range_s,
                                     PlaceCourses& courses);

/// A remark where another clock is nearly as good as the one at `offset_s`.
[[nodiscard]] std::optional<Remark> RivalRemark(const ClockHearing& hearing, double offset_s);

}  // namespace ohmglow
