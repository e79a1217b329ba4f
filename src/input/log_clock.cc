// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "log_clock.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "log_count.h"
#include "loose_number.h"
#include "ohmglow/base/error.h"
#include "stamp.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr double kSameClockS = 1.5;  // Two columns of one clock, one of them in whole seconds.

using Times = std::vector<std::optional<double>>;

std::optional<double> First(const Times& times) {
  for (const auto& time : times) {
    if (time) return time;
  }
  return std::nullopt;
}

// Lets times begin at zero and keeps what the clock showed then.
void StartAtZero(LogClock& clock, bool has_date, std::optional<double> zone_s) {
  const auto first = First(clock.time_s);
  if (!first) return;
  clock.wall = WallTime{*first, has_date, zone_s};
  for (auto& time : clock.time_s) {
    if (time) *time -= *first;
  }
}

using Stamps = std::vector<std::optional<Stamp>>;

std::string StampText(const LooseTable& table,
                      const LogChoice& choice,
                      std::size_t row,
                      std::size_t c) {
  std::string text(table.Cell(row, c));
  if (!choice.date || *choice.date == c) return text;
  // A date of its own column goes before the time of day.
  const auto alone = ParseStamp(text, DateOrder::kDayFirst);
  const bool clock_alone = alone && !alone->has_date;
  return clock_alone ? std::string(table.Cell(row, *choice.date)) + " " + text : text;
}

Stamps ParseStamps(const LooseTable& table,
                   const LogChoice& choice,
                   std::size_t c,
                   DateOrder order) {
  Stamps stamps(table.rows.size());
  for (std::size_t row = 0; row < stamps.size(); ++row) {
    const std::string text = StampText(table, choice, row, c);
    auto stamp = ParseStamp(text, order);
    if (!stamp && choice.date) stamp = ParseStamp(table.Cell(row, c), order);
    if (stamp && stamp->has_clock) stamps[row] = stamp;
  }
  return stamps;
}

double Span(const Stamps& stamps) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const auto& stamp : stamps) {
    if (!stamp) continue;
    low = std::min(low, stamp->seconds);
    high = std::max(high, stamp->seconds);
  }
  return high - low;
}

// 00:05 is five minutes past midnight or five seconds. A clock without seconds
// repeats each minute in many rows; one that never repeats and begins near zero
// counts seconds. One that begins at 14:03 may be either.
bool CountsMinutesAndSeconds(const LooseTable& table,
                             const LogMeaning& meaning,
                             std::size_t c,
                             const Stamps& stamps) {
  constexpr double kNearZeroS = 3600;  // A minute of such a count.
  std::size_t equal = 0;
  std::size_t all = 0;
  const Stamp* before = nullptr;
  const Stamp* first = nullptr;
  for (const auto& stamp : stamps) {
    if (!stamp) continue;
    if (stamp->clock_fields != 2 || stamp->has_date || stamp->has_fraction) return false;
    equal += before != nullptr && before->seconds == stamp->seconds ? 1 : 0;
    before = &*stamp;
    if (first == nullptr) first = before;
    ++all;
  }
  if (all == 0) return false;
  if (meaning.unit && meaning.unit->name == "min") return true;
  if (meaning.unit && meaning.unit->name == "h") return false;
  if (equal * 2 >= all) return false;
  if (first->seconds <= kNearZeroS) return true;
  throw InputError(table.name + ", row " + std::to_string(std::max(table.header_line, 1)) +
                   ", column " + table.ColumnName(c) +
                   ": may count hours and minutes or minutes and seconds; say which, such as "
                   "supply.columns = time=" +
                   table.ColumnName(c) + ":h, amps=... or time=" + table.ColumnName(c) +
                   ":min, amps=...");
}

// Adds a day at each midnight, where the log has no dates.
void PassMidnights(Times& times) {
  double days_s = 0;
  std::optional<double> before;
  for (auto& time : times) {
    if (!time) continue;
    if (before && *time < *before - kDayS / 2) days_s += kDayS;
    before = *time;
    *time += days_s;
  }
}

LogClock FromStamps(const LooseTable& table, const LogChoice& choice, std::size_t c) {
  Stamps stamps = ParseStamps(table, choice, c, DateOrder::kDayFirst);
  bool order_open = std::any_of(
      stamps.begin(), stamps.end(), [](const auto& stamp) { return stamp && stamp->order_open; });
  if (order_open) {
    // A recording lasts a day at most, whichever order its dates have.
    Stamps other = ParseStamps(table, choice, c, DateOrder::kMonthFirst);
    const double day_first_s = Span(stamps);
    const double month_first_s = Span(other);
    order_open = day_first_s == month_first_s;
    if (month_first_s < day_first_s) stamps = std::move(other);
  }
  LogClock clock;
  clock.columns = {c};
  const double factor =
      CountsMinutesAndSeconds(table, choice.meanings[c], c, stamps) ? 1.0 / 60 : 1;
  if (factor < 1) {
    clock.guesses.push_back(table.ColumnName(c) + " is taken as minutes and seconds");
  }
  bool has_date = true;
  std::optional<double> zone_s;
  for (const auto& stamp : stamps) {
    clock.time_s.push_back(stamp ? std::optional(factor * stamp->seconds) : std::nullopt);
    if (!stamp) continue;
    has_date &= stamp->has_date;
    zone_s = stamp->zone_s;
  }
  clock.kind = has_date ? LogTime::kDateTime : LogTime::kClock;
  if (!has_date) PassMidnights(clock.time_s);
  StartAtZero(clock, has_date && !order_open, zone_s);
  if (factor < 1) clock.wall.reset();  // Counted from a start.
  // A date whose day and month cannot be told keeps its time of day.
  if (clock.wall && !clock.wall->has_date) {
    clock.wall->since_1970_s = std::fmod(clock.wall->since_1970_s, kDayS);
  }
  return clock;
}

std::size_t Read(const LogClock& clock) {
  return static_cast<std::size_t>(std::count_if(
      clock.time_s.begin(), clock.time_s.end(), [](const auto& t) { return t.has_value(); }));
}

LogClock FromColumn(const LooseTable& table, const LogChoice& choice, std::size_t c) {
  LogClock stamps = FromStamps(table, choice, c);
  if (Read(stamps) * 2 > table.rows.size()) return stamps;
  return ReadLogCount(table, choice, c);
}

// A column of 0 .. 999 beside a clock of whole seconds holds its milliseconds.
bool HoldsMilliseconds(const LooseTable& table, const LogChoice& choice, std::size_t c) {
  const LogMeaning& meaning = choice.meanings[c];
  if (!meaning.unit || meaning.unit->name != "ms") return false;
  std::size_t good = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto value = LooseNumber(table.Cell(row, c), '.');
    if (value && (*value < 0 || *value >= 1000)) return false;
    good += value ? 1 : 0;
  }
  return good > 0;
}

void AddMilliseconds(const LooseTable& table, std::size_t c, LogClock& clock) {
  const auto first = LooseNumber(table.Cell(0, c), '.');
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto value = LooseNumber(table.Cell(row, c), '.');
    auto& time = clock.time_s[row];
    if (!time || !value) {
      time.reset();
      continue;
    }
    *time += 1e-3 * (*value - first.value_or(0));
  }
  if (clock.wall) clock.wall->since_1970_s += 1e-3 * first.value_or(0);
  clock.columns.push_back(c);
}

std::size_t Distinct(const LogClock& clock) {
  std::vector<double> times;
  for (const auto& time : clock.time_s) {
    if (time) times.push_back(*time);
  }
  std::sort(times.begin(), times.end());
  return static_cast<std::size_t>(std::unique(times.begin(), times.end()) - times.begin());
}

// Whether two columns go alike but for a shift.
bool SameCourse(const LogClock& a, const LogClock& b) {
  std::optional<double> shift;
  for (std::size_t row = 0; row < a.time_s.size(); ++row) {
    if (!a.time_s[row] || !b.time_s[row]) continue;
    const double difference = *a.time_s[row] - *b.time_s[row];
    if (!shift) shift = difference;
    if (std::abs(difference - *shift) > kSameClockS) return false;
  }
  return shift.has_value();
}

// Of two columns that go alike the finer one counts; the other may give the date.
void Merge(LogClock other, LogClock& clock) {
  if (Distinct(other) > Distinct(clock)) std::swap(other, clock);
  if (clock.wall || !other.wall) return;
  for (std::size_t row = 0; row < clock.time_s.size(); ++row) {
    if (!clock.time_s[row] || !other.time_s[row]) continue;
    clock.wall = other.wall;
    clock.wall->since_1970_s += *other.time_s[row] - *clock.time_s[row];
    return;
  }
}

[[noreturn]] void FailSeveral(const LooseTable& table, const LogClock& a, const LogClock& b) {
  throw InputError(
      table.name + ", row " + std::to_string(std::max(table.header_line, 1)) + ": columns " +
      table.ColumnName(a.columns[0]) + " and " + table.ColumnName(b.columns[0]) +
      " are both times and do not go alike; say which, such as supply.columns = time=" +
      table.ColumnName(a.columns[0]) + ", amps=...");
}

LogClock FromRate(const LooseTable& table, double rate_hz) {
  LogClock clock;
  clock.kind = LogTime::kRows;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    clock.time_s.emplace_back(static_cast<double>(row) / rate_hz);
  }
  return clock;
}

[[noreturn]] void FailNone(const LooseTable& table) {
  throw InputError(table.name + ", row " + std::to_string(std::max(table.header_line, 1)) +
                   ": column time_s is missing; the header has " + table.ColumnNames() +
                   "; say which is the time, such as supply.columns = time=1, amps=2, or, for "
                   "rows of equal distance, supply.rate_hz = 2");
}

}  // namespace

LogClock ReadLogClock(const LooseTable& table, const LogChoice& choice, const LogOptions& options) {
  std::vector<std::size_t> columns = choice.times;
  // A column called date often holds the time of day as well.
  if (columns.empty() && choice.date) columns = {*choice.date};
  if (options.rate_hz) return FromRate(table, *options.rate_hz);
  if (columns.empty()) FailNone(table);
  std::vector<std::size_t> milliseconds;
  std::vector<LogClock> clocks;
  for (const std::size_t c : columns) {
    if (columns.size() > 1 && HoldsMilliseconds(table, choice, c)) {
      milliseconds.push_back(c);
      continue;
    }
    LogClock clock = FromColumn(table, choice, c);
    if (columns.size() == 1 || Distinct(clock) > 1) clocks.push_back(std::move(clock));
  }
  if (clocks.empty()) return FromColumn(table, choice, columns[0]);
  LogClock clock = std::move(clocks[0]);
  if (milliseconds.size() == 1 && clocks.size() == 1)
    AddMilliseconds(table, milliseconds[0], clock);
  for (std::size_t i = 1; i < clocks.size(); ++i) {
    if (!SameCourse(clock, clocks[i])) FailSeveral(table, clock, clocks[i]);
    Merge(std::move(clocks[i]), clock);
  }
  return clock;
}

}  // namespace ohmglow
