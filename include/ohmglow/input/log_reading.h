// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace ohmglow {

/// What the face of a clock showed.
struct WallTime {
  /// Seconds since the midnight that began 1970-01-01, on that face; since a
  /// midnight of any day where `has_date` is false.
  double since_1970_s = 0;
  bool has_date = true;
  /// East of UTC, where the file says it; the face less this is UTC.
  std::optional<double> zone_s = std::nullopt;
};

/// How a supply log counts time.
enum class LogTime {
  kSince,     ///< From some start, in the unit of its column.
  kEpoch,     ///< Since 1970, UTC.
  kDateTime,  ///< Date and time of day.
  kClock,     ///< Time of day.
  kDays,      ///< Days and parts of a day, as spreadsheets count.
  kRows       ///< Not at all; rows of equal distance.
};

/// One column of a log that was used.
struct LogColumn {
  std::string quantity;  ///< time, date, volts, amps, watts or output.
  std::string header;    ///< As the file has it, or its number from 1.
  int number = 0;        ///< From 1.
  std::string unit;      ///< Empty where it has none.
};

struct LostRow {
  int line = 0;
  std::string reason;
};

/// What was understood of a supply log.
struct LogReading {
  std::string encoding;   ///< In iconv's words.
  std::string delimiter;  ///< comma, semicolon, tab, bar or blank.
  char decimal = '.';     ///< Of the amps (or watts).
  int lines_above = 0;    ///< Lines above the table that are none of it.
  std::vector<LogColumn> columns;
  LogTime time = LogTime::kSince;
  int rows = 0;  ///< Of data in the file.
  int rows_used = 0;
  std::vector<LostRow> lost;
  std::vector<std::string> guesses;  ///< Each a short clause: "Strom is taken in A".
};

}  // namespace ohmglow
