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

/// What the frames' clock showed at their time 0.
struct FrameWall {
  double since_1970_s = 0;                      ///< Below a day: a time of day.
  std::optional<double> zone_s = std::nullopt;  ///< East of UTC, where it is known.
  bool zone_open = true;                        ///< Whether a difference of zones may be guessed.
};

/// Ties a log to the frames by their clocks. Where both tell their zone, that
/// difference counts and no other. Else the clocks may be whole hours apart, or by
/// one of the odd differences between zones; such a guess counts only where one of
/// log and frames lies wholly inside the other and hardly outlasts it, as a log of
/// another run would often meet the frames in some hour. No difference goes before
/// whole hours, whole hours before halves, halves before quarters. Without a date
/// on either side only the time of day counts.
/// @param frame_times_s  rising, one or more.
/// @param offset_s       known error of the clocks, added to the log's times.
/// @return nothing where the log has no clock, where log and frames do not meet
///         over half of the shorter one, or where two zones are as likely.
[[nodiscard]] std::optional<WallTie> TieByWall(const SupplyLog& log,
                                               const FrameWall& frames_wall,
                                               const std::vector<double>& frame_times_s,
                                               double offset_s);

/// Of frames and a log that count from some start each: lets the log begin with the frames, where
/// the two do not meet over half of the shorter one. @return whether it was moved.
bool BeginTogether(const std::vector<double>& frame_times_s, SupplyLog& log);

/// "laid on the frames by both clocks, the log's 1 h ahead (first row 12 s before the first frame)"
[[nodiscard]] std::string DescribeTie(const WallTie& tie,
                                      const SupplyLog& log,
                                      const std::vector<double>& frame_times_s);

}  // namespace ohmglow
