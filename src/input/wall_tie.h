// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ohmglow/input/case.h"

namespace ohmglow {

/// How a log lies on the frames' clock, by what both clocks showed.
struct WallTie {
  double shift_s = 0;     ///< Log time + this = frame time, up to the error of the clocks.
  int zone_quarters = 0;  ///< Quarter hours by which the log's clock is ahead, taken out.
};

/// Ties a log to the frames by their clocks. Clocks may be set to different time
/// zones, which are whole quarter hours apart: of these the one is taken out
/// that lets log and frames meet, none before whole hours, whole hours before
/// halves, halves before quarters. Without a date on either side only the time
/// of day counts.
/// @param frames_wall_s  clock at the frames' time 0, seconds since 1970; below a
///                       day: a time of day.
/// @param frame_times_s  rising, one or more.
/// @param offset_s       known error of the clocks, added to the log's times.
/// @return nothing where the log has no clock, where log and frames do not meet
///         over half of the shorter one, or where two zones are as likely.
[[nodiscard]] std::optional<WallTie> TieByWall(const SupplyLog& log,
                                               double frames_wall_s,
                                               const std::vector<double>& frame_times_s,
                                               double offset_s);

/// "laid on the frames by both clocks, the log's 1 h ahead (first row 12 s before the first frame)"
[[nodiscard]] std::string DescribeTie(const WallTie& tie,
                                      const SupplyLog& log,
                                      const std::vector<double>& frame_times_s);

}  // namespace ohmglow
