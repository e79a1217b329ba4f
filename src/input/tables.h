// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string_view>
#include <vector>

#include "ohmglow/input/case.h"
#include "supply_log.h"

namespace ohmglow {

// Readers of the tables of a case folder. Each throws InputError with file, row
// (line of the file, from 1) and column, and says what to do. `named_by` is the
// setting that named the file, for the message where it is missing.

/// index,time_s: one row a frame, times strictly rising, indices in steps of one.
/// @param frame_count  the rows there must be.
/// @param cut_off  whether the recording lacks frames at its end: then there may be
///         more rows, as many as a tenth of them.
[[nodiscard]] std::vector<double> ReadFrameTimes(const std::filesystem::path& file,
                                                 int frame_count,
                                                 std::string_view named_by,
                                                 bool cut_off = false);

/// time_s,volts,amps, or the log of any supply; see ParseSupplyLog.
[[nodiscard]] ReadLog ReadSupplyLog(const std::filesystem::path& file,
                                    std::string_view named_by,
                                    const LogOptions& options = {});

/// frame_x,frame_y,photo_x,photo_y[,board_x_mm,board_y_mm].
[[nodiscard]] std::vector<Landmark> ReadLandmarks(const std::filesystem::path& file,
                                                  std::string_view named_by);

/// ref,x_mm,y_mm,width_mm,height_mm,side[,kind].
[[nodiscard]] std::vector<Part> ReadParts(const std::filesystem::path& file,
                                          std::string_view named_by);

/// frame_x,frame_y,name.
[[nodiscard]] std::vector<Contact> ReadContacts(const std::filesystem::path& file,
                                                std::string_view named_by);

/// top or bottom; nothing for other words.
[[nodiscard]] std::optional<BoardSide> ParseSide(std::string_view word);

}  // namespace ohmglow
