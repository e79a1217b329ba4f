// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "log_options.h"

#include "loose_table.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "supply_log.h"
#include "text.h"

namespace ohmglow {
namespace {

[[noreturn]] void Fail(const IniFile& ini, const IniEntry& entry, const std::string& rule) {
  throw InputError(ini.Where(entry) + " = " + Quoted(entry.value) + "; " + rule);
}

std::optional<double> Positive(const IniFile& ini, const std::string& name) {
  const auto entry = ini.Find(name);
  if (!entry) return std::nullopt;
  const auto value = ParseNumber(entry->value);
  if (!value || *value <= 0) Fail(ini, *entry, "must be a number > 0");
  return value;
}

}  // namespace

LogOptions ReadLogOptions(const IniFile& ini) {
  LogOptions options;
  if (const auto entry = ini.Find("supply.columns")) options.columns = entry->value;
  if (const auto entry = ini.Find("supply.delimiter")) {
    options.delimiter = ParseDelimiter(entry->value);
    if (!options.delimiter) Fail(ini, *entry, "must be comma, semicolon, tab, bar or blank");
  }
  if (const auto entry = ini.Find("supply.decimal")) {
    options.decimal = ParseDecimal(entry->value);
    if (!options.decimal) Fail(ini, *entry, "must be point or comma");
  }
  options.rate_hz = Positive(ini, "supply.rate_hz");
  options.volts_v = Positive(ini, "supply.volts");
  return options;
}

std::vector<Assumption> LogAssumptions(const LogReading& reading) {
  std::vector<Assumption> all;
  if (!reading.guesses.empty()) {
    std::string why;
    for (const std::string& guess : reading.guesses) why += (why.empty() ? "" : "; ") + guess;
    Assumption guessed{"supply.columns", DescribeColumns(reading), AssumedHow::kDefault, why};
    guessed.told = Remark(RemarkKind::kLogColumnsGuessed).With("what", ValueText(guessed));
    all.push_back(std::move(guessed));
  }
  if (!reading.lost.empty()) {
    const std::string& why = reading.lost[0].reason;
    Assumption lost{"supply.log",
                    "without " + std::to_string(reading.lost.size()) + " of its " +
                        std::to_string(reading.rows) + " rows",
                    AssumedHow::kDefault,
                    why};
    lost.told = Remark(RemarkKind::kLogRowsLost)
                    .With("rows", static_cast<double>(reading.lost.size()))
                    .With("all", static_cast<double>(reading.rows))
                    .With("why", why);
    all.push_back(std::move(lost));
  }
  return all;
}

}  // namespace ohmglow
