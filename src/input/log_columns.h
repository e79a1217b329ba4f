// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "loose_table.h"
#include "unit_words.h"

namespace ohmglow {

/// What a column of a supply log holds.
enum class LogQuantity { kNone, kTime, kDate, kVolts, kAmps, kWatts, kOutput };

/// What a header says of its column, in any of a dozen languages.
struct LogMeaning {
  LogQuantity quantity = LogQuantity::kNone;
  std::optional<Unit> unit;
  bool is_set = false;   ///< A value that was asked for, or a limit.
  bool is_real = false;  ///< Said to be measured.
  std::string channel;   ///< "1", "2", "a"; empty where the header names none.
};
[[nodiscard]] LogMeaning ReadLogHeader(std::string_view cell, std::string_view unit_cell);

/// Whether ReadLogHeader knows the cell.
[[nodiscard]] bool KnowsLogHeader(std::string_view cell);

/// The columns of one log that are used.
struct LogChoice {
  std::vector<std::size_t> times;  ///< One, or several that may be of one clock.
  std::optional<std::size_t> date, volts, amps, watts, output;
  std::vector<LogMeaning> meanings;  ///< One a column of the table.
  std::vector<std::string> guesses;
};

/// What one log says that its file does not.
struct LogOptions {
  std::optional<std::string> columns = std::nullopt;  ///< supply.columns, see ChooseLogColumns.
  std::optional<char> delimiter = std::nullopt;       ///< supply.delimiter
  std::optional<char> decimal = std::nullopt;         ///< supply.decimal
  std::optional<double> rate_hz =
      std::nullopt;  ///< supply.rate_hz: rows a second, where no column is a time.
  std::optional<double> volts_v =
      std::nullopt;  ///< supply.volts: makes amps of watts, where no column is volts.
};

/// Chooses by the headers, or as `stated` says: "time=Zeit, amps=CH1 Strom:mA"
/// with columns by name or number from 1. Measured values go before set ones,
/// columns that are zero throughout after all others.
/// @throws InputError  a column is missing or stands for several; names them
///         and the setting `supply.columns` that decides.
[[nodiscard]] LogChoice ChooseLogColumns(const LooseTable& table,
                                         const std::optional<std::string>& stated);

[[nodiscard]] std::string QuantityName(LogQuantity quantity);

}  // namespace ohmglow
