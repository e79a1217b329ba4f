// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow {

/// Seconds from 1970-01-01 00:00:00 to a date and time of the Gregorian calendar,
/// both in one zone; nothing where it is none (February 30, hour 25).
/// Source: proleptic Gregorian calendar, ISO 8601; leap seconds do not count, POSIX.
[[nodiscard]] std::optional<double> SecondsSince1970(
    int year, int month, int day, int hour, int minute, double second);

/// Reads a time from a text that fits a pattern whole: %Y %m %d %H %M %S as in
/// strptime of POSIX (four digits, then two each), %f a fraction of a second of any
/// length, %s seconds since 1970, * any text, ? one byte, anything else itself.
/// Without a date the day is 1970-01-01.
[[nodiscard]] std::optional<double> ParseStamp(std::string_view text, std::string_view pattern);

/// Times in file names that leave no doubt: a date and a time of day of 6 or more
/// digits, in either of the spellings 20261128_180500_125 and 2026-11-28T18-05-00.125
/// with any signs between, or 13 digits of milliseconds since 1970.
/// @return  empty unless every name has one and they do not run backwards. Three
///          digits behind that only count the files are no milliseconds.
[[nodiscard]] std::vector<double> TimesInNames(const std::vector<std::string>& names);

/// Times by which frames can be placed, from stamps of limited resolution: strictly
/// rising ones as they are; repeated whole seconds by a straight line through them
/// where one fits within a second, else spread evenly over each second; of finer stamps
/// one that stands twice goes half way to the next, three alike stay so.
/// @return  empty where the stamps run backwards or are all alike.
[[nodiscard]] std::vector<double> SpreadStamps(const std::vector<double>& stamps_s);

}  // namespace ohmglow
