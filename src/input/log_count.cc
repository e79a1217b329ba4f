// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "log_count.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/median.h"
#include "loose_number.h"
#include "ohmglow/base/error.h"
#include "stamp.h"
#include "text.h"

namespace ohmglow {
namespace {

// 2001-09-09 and 2100-01-01 in seconds since 1970.
constexpr double kFirstEpochS = 1e9;
constexpr double kLastEpochS = 4.1e9;
constexpr double kDay1970 = 25569;
constexpr double kFirstDay = 36526;  // 2000-01-01.
constexpr double kLastDay = 73050;   // 2099-12-31.
// What a recording of a bench looks like.
constexpr double kLongestS = 2 * 3600;
constexpr double kShortestS = 4;
constexpr double kSlowestRowS = 60;
constexpr double kFastestRowS = 5e-4;

struct Count {
  std::vector<std::optional<double>> values;
  bool has_unit = false;
  bool whole = true;
  double low = 0, high = 0, step = 0;
};

void Describe(Count& count) {
  std::vector<double> steps;
  std::optional<double> before;
  for (const auto& value : count.values) {
    if (!value) continue;
    count.low = before ? std::min(count.low, *value) : *value;
    count.high = before ? std::max(count.high, *value) : *value;
    if (before && *value > *before) steps.push_back(*value - *before);
    count.whole &= *value == std::floor(*value);
    before = value;
  }
  if (steps.empty()) return;
  count.step = MedianOf(steps);
}

Count ReadCount(const LooseTable& table, const LogMeaning& meaning, std::size_t c) {
  Count count;
  const char decimal = table.Decimal(c);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    auto quantity = ParseQuantity(table.Cell(row, c), decimal);
    const bool other = quantity && quantity->unit && quantity->unit->dimension != Dimension::kTime;
    if (!quantity || other) {
      count.values.emplace_back();
      continue;
    }
    const auto unit = quantity->unit ? quantity->unit : meaning.unit;
    count.has_unit |= unit.has_value();
    count.values.emplace_back(quantity->value * (unit ? unit->factor : 1));
  }
  Describe(count);
  return count;
}

void Scale(Count& count, double factor) {
  for (auto& value : count.values) {
    if (value) *value *= factor;
  }
  Describe(count);
}

bool IsEpoch(const Count& count) { return count.low >= kFirstEpochS && count.high <= kLastEpochS; }

LogClock Finish(Count count, LogTime kind, std::size_t column, std::string unit) {
  LogClock clock;
  clock.kind = kind;
  clock.columns = {column};
  clock.unit = std::move(unit);
  if (kind != LogTime::kSince) {
    // Seconds since 1970 are those of UTC (POSIX); a spreadsheet's day is local.
    const std::optional<double> zone_s =
        kind == LogTime::kEpoch ? std::optional<double>(0) : std::nullopt;
    double first = count.low;
    for (const auto& value : count.values) {
      if (!value) continue;
      first = *value;
      break;
    }
    clock.wall = WallTime{first, true, zone_s};
    for (auto& value : count.values) {
      if (value) *value -= first;
    }
  }
  clock.time_s = std::move(count.values);
  return clock;
}

bool IsSerialDays(const Count& count) {
  return count.low >= kFirstDay && count.high <= kLastDay && !count.whole && count.step > 0 &&
         count.high - count.low < 2 && count.step * kDayS < kSlowestRowS * 10;
}

bool IsLikely(const Count& count, double factor) {
  const double span_s = factor * (count.high - count.low);
  const double step_s = factor * count.step;
  return span_s >= kShortestS && span_s <= kLongestS && step_s >= kFastestRowS &&
         step_s <= kSlowestRowS;
}

// Numbers without a unit: seconds, unless whole numbers say otherwise.
LogClock FromPlain(const LooseTable& table, Count count, std::size_t c) {
  const bool may_be_ms = count.whole && count.step >= 10;
  const bool as_s = IsLikely(count, 1);
  const bool as_ms = may_be_ms && IsLikely(count, 1e-3);
  if (as_ms && as_s) {
    throw InputError(table.name + ", row " + std::to_string(std::max(table.header_line, 1)) +
                     ", column " + table.ColumnName(c) + ": rows " + FormatNumber(count.step) +
                     " apart may be seconds or milliseconds; say which, such as supply.columns = "
                     "time=" +
                     table.ColumnName(c) + ":ms, amps=...");
  }
  if (!as_ms) {
    LogClock clock = Finish(std::move(count), LogTime::kSince, c, "s");
    clock.guesses.push_back(table.ColumnName(c) + " is taken in s");
    return clock;
  }
  Scale(count, 1e-3);
  LogClock clock = Finish(std::move(count), LogTime::kSince, c, "ms");
  clock.guesses.push_back(table.ColumnName(c) + " is taken in ms");
  return clock;
}

}  // namespace

LogClock ReadLogCount(const LooseTable& table, const LogChoice& choice, std::size_t column) {
  const LogMeaning& meaning = choice.meanings[column];
  Count count = ReadCount(table, meaning, column);
  const std::string unit = meaning.unit ? meaning.unit->name : "s";
  if (Fold(table.ColumnName(column)) == "time_s") {
    // Our own tables keep their times as they stand: an offset may count on them.
    const bool epoch = IsEpoch(count);
    LogClock clock = Finish(std::move(count), LogTime::kSince, column, "s");
    if (epoch) clock.wall = WallTime{0, true, 0};
    return clock;
  }
  if (count.has_unit) {
    const LogTime kind = IsEpoch(count) ? LogTime::kEpoch : LogTime::kSince;
    return Finish(std::move(count), kind, column, unit);
  }
  constexpr std::array<std::pair<double, const char*>, 4> kParts = {
      {{1, "s"}, {1e-3, "ms"}, {1e-6, "us"}, {1e-9, "ns"}}};
  for (const auto& [factor, name] : kParts) {
    Count scaled = count;
    Scale(scaled, factor);
    if (!IsEpoch(scaled)) continue;
    LogClock clock = Finish(std::move(scaled), LogTime::kEpoch, column, name);
    clock.guesses.push_back(table.ColumnName(column) + " is taken in " + name + " since 1970");
    return clock;
  }
  if (IsSerialDays(count)) {
    for (auto& value : count.values) {
      if (value) *value = (*value - kDay1970) * kDayS;
    }
    LogClock clock = Finish(std::move(count), LogTime::kDays, column, "d");
    clock.guesses.push_back(table.ColumnName(column) + " is taken in days of a spreadsheet");
    return clock;
  }
  return FromPlain(table, std::move(count), column);
}

}  // namespace ohmglow
