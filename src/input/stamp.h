// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>

namespace ohmglow {

inline constexpr double kDayS = 86400;

/// Which of two numbers of a date is the day, where neither the year's place
/// (ISO 8601) nor points between them (day first, common practice, no source) say it.
enum class DateOrder { kDayFirst, kMonthFirst };

/// A date, a time of day or both, as a log writes them.
struct Stamp {
  double seconds = 0;  ///< Since 1970 on the clock's face, or since midnight without a date.
  bool has_date = false;
  bool has_clock = false;
  bool order_open = false;  ///< The other order of day and month gives another date.
  int clock_fields = 0;     ///< 2 for 12:05, which may be minutes and seconds.
  bool has_fraction = false;
  std::optional<double> zone_s;  ///< East of UTC.
};

/// ISO 8601 in its long and short forms, with and without zone; day, month and
/// year with points, slashes, hyphens or an English or German month's name;
/// hh:mm[:ss[.fff]] with a point, comma or colon before the fraction, am and
/// pm; mm:ss.fff. Nothing for other text, and for dates that are none.
[[nodiscard]] std::optional<Stamp> ParseStamp(std::string_view text, DateOrder order);

}  // namespace ohmglow
