// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "count_pages.h"
#include "ini_file.h"
#include "ohmglow/input/assumption.h"

namespace ohmglow {

/// When the frames were taken, and how that is known.
struct FrameTimes {
  std::vector<double> time_s;       ///< One a frame, strictly rising.
  std::optional<double> wall_s;     ///< Clock at time_s = 0, seconds since 1970, in its zone.
  bool zone_open = true;            ///< False: copying may have changed the clock's times.
  std::optional<double> zone_s;     ///< Of that clock, east of UTC, where it is told.
  bool own_start = false;           ///< Counted from some start that the log need not share.
  std::vector<Assumption> assumed;  ///< What was taken for granted.
};

/// What is assumed of frames.times by where they are from (Assumption::value); behind the last
/// stands the quoted word before the time.
inline constexpr std::string_view kTimesFromNames = "from the files' names";
inline constexpr std::string_view kTimesFromTiff = "from the date and time in each TIFF page";
inline constexpr std::string_view kTimesFromDates =
    "from the files' dates, which copying may have changed";
inline constexpr std::string_view kTimesFromHeadings = "from the line above each table, at ";

/// The first of these that there is: the table frames.times; the pattern
/// frames.name_times for file names; frames.rate_hz; the lines above tables of numbers;
/// dates and times in file names; TIFF DateTime; dates of the files, where they rise evenly; 8
/// frames a second.
/// @param folder  of the case file.
/// @throws InputError  also where the times do not rise from frame to frame.
[[nodiscard]] FrameTimes FindFrameTimes(const IniFile& ini,
                                        const std::filesystem::path& folder,
                                        const CountPages& pages);

}  // namespace ohmglow
