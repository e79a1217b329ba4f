// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "log_values.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <set>
#include <string>
#include <string_view>

#include "loose_number.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

// More than a bench supply gives to a board: a number without a unit is in thousandths then.
constexpr double kMostAmps = 30;
constexpr double kMostVolts = 400;
// So many times that is no bench supply, whatever the header says.
constexpr double kBeyondBench = 3;
// Below this share of the highest voltage watts over volts is noise.
constexpr double kLeastVoltsShare = 0.01;

std::string RowColumn(const LooseTable& table, std::size_t row, std::size_t column) {
  const std::string where = table.Where(row, column);
  return where.substr(table.name.size() + 2);
}

struct Column {
  std::vector<double> values;  // NaN where there is none.
  std::vector<std::string> problems;
  bool has_unit = false;
};

Column ReadColumn(const LooseTable& table,
                  const LogChoice& choice,
                  std::size_t c,
                  Dimension dimension) {
  const LogMeaning& meaning = choice.meanings[c];
  const char decimal = table.Decimal(c);
  Column column;
  column.has_unit = meaning.unit.has_value();
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string_view cell = table.Cell(row, c);
    const auto quantity = ParseQuantity(cell, decimal);
    const bool other = quantity && quantity->unit && quantity->unit->dimension != dimension;
    column.values.push_back(std::numeric_limits<double>::quiet_NaN());
    column.problems.emplace_back();
    if (cell.empty()) {
      column.problems.back() = RowColumn(table, row, c) + ": is empty; give a number";
    } else if (!quantity) {
      column.problems.back() = RowColumn(table, row, c) + ": " + Quoted(cell) +
                               " is not a finite number; write it like -12.5";
    } else if (other) {
      column.problems.back() =
          RowColumn(table, row, c) + ": " + Quoted(cell) + " has a unit of something else";
    } else {
      const auto unit = quantity->unit ? quantity->unit : meaning.unit;
      column.has_unit |= unit.has_value();
      column.values.back() = quantity->value * (unit ? unit->factor : 1);
    }
  }
  return column;
}

// Currents that a supply measures in amps have decimals; whole ones, several of them and of more
// than a few amps, are as likely milliamps.
bool LooksLikeMilliamps(const Column& column, double high) {
  constexpr double kFewAmps = 5;
  constexpr std::size_t kSeveral = 4;  // Zero and three levels.
  if (high < kFewAmps) return false;
  std::set<double> distinct;
  for (const double value : column.values) {
    if (std::isnan(value)) continue;
    if (value != std::floor(value)) return false;
    distinct.insert(value);
  }
  return distinct.size() >= kSeveral;
}

// Says in what the numbers of a column without a unit are taken.
void GuessUnit(const LooseTable& table,
               std::size_t c,
               const Column& column,
               double most,
               const std::string& unit,
               const std::string& role,
               std::vector<std::string>& guesses) {
  double high = 0;
  for (const double value : column.values)
    high = std::max(high, std::abs(std::isnan(value) ? 0 : value));
  // A header may name the unit that its writer meant.
  if (column.has_unit && high > kBeyondBench * most) {
    throw InputError(table.Where(0, c) + ": goes up to " + FormatNumber(high) + " " + unit +
                     ", more than a bench supply gives; if it is in m" + unit +
                     ", write supply.columns = time=..., " + role + "=" + table.ColumnName(c) +
                     ":m" + unit);
  }
  if (column.has_unit) return;
  if (high > most) {
    throw InputError(table.Where(0, c) + ": has no unit and goes up to " + FormatNumber(high) +
                     ", which may be " + unit + " or m" + unit + "; say which, such as " +
                     "supply.columns = time=..., " + role + "=" + table.ColumnName(c) + ":m" +
                     unit);
  }
  if (role == "amps" && LooksLikeMilliamps(column, high)) {
    throw InputError(table.Where(0, c) + ": has no unit, and whole numbers up to " +
                     FormatNumber(high) + " may be A or mA; say which, such as supply.columns = " +
                     "time=..., amps=" + table.ColumnName(c) + ":mA");
  }
  guesses.push_back(table.ColumnName(c) + " is taken in " + unit);
}

// Whether a cell says that the output is on; nothing where it says neither. CV and CC, how a supply
// regulates, it does only while on.
std::optional<bool> OutputState(std::string_view cell) {
  constexpr auto kOff = std::to_array<std::string_view>({"off",
                                                         "aus",
                                                         "false",
                                                         "no",
                                                         "n",
                                                         "nein",
                                                         "disabled",
                                                         "disable",
                                                         "arret",
                                                         "eteint",
                                                         "non",
                                                         "spento",
                                                         "apagado",
                                                         "desligado",
                                                         "uit",
                                                         "wyl",
                                                         "vyp",
                                                         "av",
                                                         "standby"});
  constexpr auto kOn = std::to_array<std::string_view>(
      {"on",     "ein",    "an",     "true", "yes",    "y",  "ja",        "enabled",
       "enable", "marche", "allume", "oui",  "acceso", "si", "encendido", "ligado",
       "aan",    "wl",     "zap",    "pa",   "cv",     "cc"});
  if (const auto number = LooseNumber(cell, '.'); number && (*number == 0 || *number == 1)) {
    return *number == 1;
  }
  const std::string word = Fold(cell);
  if (std::find(kOff.begin(), kOff.end(), word) != kOff.end()) return false;
  if (std::find(kOn.begin(), kOn.end(), word) != kOn.end()) return true;
  return std::nullopt;
}

// Whether the output is on in a row; an empty cell makes the row one that cannot be used.
bool IsOn(const LooseTable& table, std::size_t row, std::size_t column, LogValues& values) {
  const std::string_view cell = table.Cell(row, column);
  if (cell.empty()) {
    if (values.problem.empty()) {
      values.problem = RowColumn(table, row, column) + ": is empty; write on or off";
    }
    return true;
  }
  if (const auto state = OutputState(cell)) return *state;
  throw InputError(table.Where(row, column) + ": " + Quoted(cell) +
                   " says neither that the output is on nor that it is off; write on or off");
}

void DivideWatts(const LooseTable& table,
                 const LogChoice& choice,
                 const LogOptions& options,
                 std::vector<LogValues>& rows,
                 std::vector<std::string>& guesses) {
  const Column watts = ReadColumn(table, choice, *choice.watts, Dimension::kWatts);
  if (!choice.volts && !options.volts_v) {
    throw InputError(table.name + ", row " + std::to_string(std::max(table.header_line, 1)) +
                     ": has watts (" + table.ColumnName(*choice.watts) +
                     ") but neither amps nor volts; say the supply's voltage, such as "
                     "supply.volts = 12");
  }
  GuessUnit(table, *choice.watts, watts, kMostAmps * kMostVolts, "W", "watts", guesses);
  double top_v = 0;
  for (const LogValues& row : rows) top_v = std::max(top_v, row.volts_v);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (rows[i].problem.empty()) rows[i].problem = watts.problems[i];
    const bool live = rows[i].volts_v > kLeastVoltsShare * top_v;
    rows[i].amps_a = live ? watts.values[i] / rows[i].volts_v : 0;
  }
  guesses.push_back("amps are " + table.ColumnName(*choice.watts) + " over volts");
}

void TakeAmps(const LooseTable& table,
              const LogChoice& choice,
              std::vector<LogValues>& rows,
              std::vector<std::string>& guesses) {
  const std::size_t c = *choice.amps;
  const Column amps = ReadColumn(table, choice, c, Dimension::kAmps);
  GuessUnit(table, c, amps, kMostAmps, "A", "amps", guesses);
  const bool is_set = choice.meanings[c].is_set;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (rows[i].problem.empty()) rows[i].problem = amps.problems[i];
    const bool off = is_set && choice.output && !IsOn(table, i, *choice.output, rows[i]);
    rows[i].amps_a = off ? 0 : amps.values[i];
  }
  if (is_set) {
    guesses.push_back("amps are the set values of " + table.ColumnName(c) +
                      (choice.output ? " while the output is on" : ""));
  }
}

// A row with more cells than the header has lost a quote or writes 0,5 between commas.
void CheckLengths(const LooseTable& table, std::vector<LogValues>& rows) {
  if (table.header.empty()) return;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const std::vector<std::string>& cells = table.rows[i].cells;
    for (std::size_t c = table.header.size(); c < cells.size(); ++c) {
      if (cells[c].empty() || !rows[i].problem.empty()) continue;
      rows[i].problem = "row " + std::to_string(table.rows[i].line) + ": has " +
                        std::to_string(cells.size()) + " cells but the header " +
                        std::to_string(table.header.size()) +
                        "; write decimals with a point and quote texts that hold a comma";
    }
  }
}

}  // namespace

std::vector<LogValues> ReadLogValues(const LooseTable& table,
                                     const LogChoice& choice,
                                     const LogOptions& options,
                                     std::vector<std::string>& guesses) {
  std::vector<LogValues> rows(table.rows.size());
  CheckLengths(table, rows);
  // A supply that limits its current gives less than its set voltage, so that alone is no reading
  // of the volts; where the log has watts it settles the amps, and watts stay what they were.
  const double none = std::numeric_limits<double>::quiet_NaN();
  const double fixed_v = choice.amps ? none : options.volts_v.value_or(none);
  for (LogValues& row : rows) row.volts_v = fixed_v;
  if (choice.volts) {
    const Column volts = ReadColumn(table, choice, *choice.volts, Dimension::kVolts);
    GuessUnit(table, *choice.volts, volts, kMostVolts, "V", "volts", guesses);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      rows[i].volts_v = volts.values[i];
      if (rows[i].problem.empty()) rows[i].problem = volts.problems[i];
    }
  }
  if (choice.amps) {
    TakeAmps(table, choice, rows, guesses);
  } else {
    DivideWatts(table, choice, options, rows, guesses);
  }
  return rows;
}

}  // namespace ohmglow
