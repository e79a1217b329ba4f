// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "log_columns.h"
#include "loose_table.h"
#include "ohmglow/input/log_reading.h"

namespace ohmglow {

/// The times of a log's rows.
struct LogClock {
  LogTime kind = LogTime::kSince;
  std::vector<std::size_t> columns;  ///< Those used: one, or a second of milliseconds.
  std::string unit;                  ///< That of a number.
  /// One a row, nothing where it cannot be read. From the first row that can
  /// be, for clocks and calendars; as written, for seconds from some start.
  std::vector<std::optional<double>> time_s;
  std::optional<WallTime> wall;  ///< At time_s = 0.
  std::vector<std::string> guesses;
};

/// Finds out how the log counts time: seconds, milliseconds or minutes from
/// some start, seconds since 1970 and their parts, ISO 8601 and other dates,
/// times of day (also beyond midnight), days of a spreadsheet.
/// @throws InputError  no column of times, or readings that are as good as each other.
[[nodiscard]] LogClock ReadLogClock(const LooseTable& table,
                                    const LogChoice& choice,
                                    const LogOptions& options);

}  // namespace ohmglow
