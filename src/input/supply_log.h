// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "log_columns.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

struct ReadLog {
  SupplyLog log;
  LogReading reading;
};

/// The log of a supply, whatever wrote it: time_s,volts,amps as well as other
/// delimiters, languages, units and clocks. Pure: any bytes give a log or one
/// error. Rows that cannot be used are left out and told in the reading.
/// @param name  the file, for messages.
/// @throws InputError  no log, over a tenth of its rows unusable, or two
///         readings as good as each other; names file, row, column and the
///         setting that decides.
[[nodiscard]] ReadLog ParseSupplyLog(std::string_view bytes,
                                     const std::string& name,
                                     const LogOptions& options);

/// "time from Zeit in ms, amps from Strom in mA": for a person.
[[nodiscard]] std::string DescribeColumns(const LogReading& reading);

}  // namespace ohmglow
