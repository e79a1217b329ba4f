// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heading_times.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "heading_line.h"
#include "log_clock.h"
#include "loose_number.h"
#include "name_times.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

// Of a heading: more is no heading.
constexpr int kMostLines = 64;
constexpr std::size_t kMostBytes = 400;
constexpr std::size_t kMostColumns = 48;
constexpr const char* kStamp = "stamp";
constexpr double kSameClockS = 1.5;  // As of a log: two clocks, one of them in whole seconds.

// The unit of time behind a number; kStamp for a date or a clock.
std::string FormOf(std::string_view value) {
  for (const char decimal : {'.', ','}) {
    const auto quantity = ParseQuantity(value, decimal);
    if (quantity) return quantity->unit ? quantity->unit->name : std::string();
  }
  return kStamp;
}

// One column, and that of the dates beside it, as a log would have them.
LooseTable TableOf(const HeadingRows& rows,
                   std::size_t column,
                   std::optional<std::size_t> date,
                   int count,
                   const std::string& where) {
  LooseTable table;
  table.name = where;
  for (const auto c : {std::optional(column), date}) {
    if (!c) continue;
    const std::vector<std::string_view> values = rows.Values(*c);
    table.rows.resize(static_cast<std::size_t>(count));
    bool comma = false;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      table.rows[i].cells.emplace_back(values[i]);
      comma = comma || values[i].find(',') != std::string_view::npos;
    }
    table.header.push_back(rows.columns()[*c].label);
    table.decimals.push_back(comma ? ',' : '.');
  }
  return table;
}

// Every frame's time: those that lack lie evenly between their neighbours. Empty where too many do.
std::vector<double> Filled(const std::vector<std::optional<double>>& times_s) {
  std::vector<double> all;
  int lost = 0;
  int leading = 0;
  for (const auto& time_s : times_s) {
    if (time_s) {
      const auto gap = static_cast<std::size_t>(lost);
      for (std::size_t i = 1; i <= gap && !all.empty(); ++i) {
        all.push_back(all.back() + (*time_s - all.back()) / static_cast<double>(gap + 2 - i));
      }
      lost = 0;
      all.push_back(*time_s);
    } else if (all.empty()) {
      ++leading;
    } else {
      ++lost;
    }
  }
  if (all.size() < 2) return {};
  const double step_s = (all.back() - all.front()) / static_cast<double>(all.size() - 1);
  for (; lost > 0; --lost) all.push_back(all.back() + step_s);
  for (; leading > 0; --leading) all.insert(all.begin(), all.front() - step_s);
  const auto missing = std::count(times_s.begin(), times_s.end(), std::nullopt);
  return 10 * static_cast<std::size_t>(missing) <= all.size() ? all : std::vector<double>();
}

struct Found {
  HeadingTimes times;
  bool is_named = false;
};

LogClock ReadClock(const LooseTable& table, const LogChoice& choice) {
  try {
    return ReadLogClock(table, choice, {});
  } catch (const InputError&) {
    // It says what to set for a log.
    throw InputError(table.name + ": the times above the tables, at " + Quoted(table.header[0]) +
                     ", may be seconds or another unit; set frames.times or frames.rate_hz");
  }
}

std::optional<Found> ReadColumn(const HeadingRows& rows,
                                std::size_t column,
                                std::optional<std::size_t> date,
                                int count,
                                const std::string& where) {
  const LooseTable table = TableOf(rows, column, date, count, where);
  LogChoice choice;
  choice.times = {0};
  if (date) choice.date = 1;
  for (const std::string& label : table.header) choice.meanings.push_back(ReadLogHeader(label, {}));
  const LogClock clock = ReadClock(table, choice);
  HeadingTimes times;
  times.time_s = SpreadStamps(Filled(clock.time_s));
  times.wall = clock.wall;
  const std::string& label = rows.columns()[column].label;
  times.label = label.empty() ? std::string(rows.Values(column).front()) : label;
  const std::vector<double>& all = times.time_s;
  const bool rises =
      std::adjacent_find(all.begin(), all.end(), std::greater_equal<>()) == all.end();
  if (all.empty() || !rises) return std::nullopt;
  return Found{std::move(times), rows.columns()[column].is_named};
}

bool GoAlike(const HeadingTimes& a, const HeadingTimes& b) {
  const double shift_s = a.time_s.front() - b.time_s.front();
  for (std::size_t i = 0; i < a.time_s.size(); ++i) {
    if (std::abs(a.time_s[i] - b.time_s[i] - shift_s) > kSameClockS) return false;
  }
  return true;
}

// Of several the one that a word names; such as go alike may stand for each other, and a clock
// tells more.
Found Best(std::vector<Found> all, const std::string& where) {
  const bool named = std::any_of(all.begin(), all.end(), [](const Found& f) { return f.is_named; });
  if (named) std::erase_if(all, [](const Found& found) { return !found.is_named; });
  std::size_t best = 0;
  for (std::size_t i = 1; i < all.size(); ++i) {
    if (!GoAlike(all[best].times, all[i].times)) {
      throw InputError(where + ": the lines above the tables tell two times, at " +
                       Quoted(all[best].times.label) + " and at " + Quoted(all[i].times.label) +
                       "; set frames.times or frames.rate_hz");
    }
    if (!all[best].times.wall && all[i].times.wall) best = i;
  }
  return std::move(all[best]);
}

}  // namespace

std::optional<std::size_t> HeadingRows::ColumnOf(std::string_view label, std::string_view form) {
  const auto known = std::find_if(columns_.begin(), columns_.end(), [&](const Column& column) {
    return column.label == label && column.form == form;
  });
  if (known != columns_.end()) return static_cast<std::size_t>(known - columns_.begin());
  if (columns_.size() >= kMostColumns) return std::nullopt;
  const LogMeaning meaning = ReadLogHeader(label, {});
  Column column{std::string(label), std::string(form)};
  column.is_date = meaning.quantity == LogQuantity::kDate;
  column.is_named = column.is_date || meaning.quantity == LogQuantity::kTime;
  const auto unit = ParseUnit(form);
  const bool tells = form == kStamp || (unit && unit->dimension == Dimension::kTime);
  column.is_time = column.is_named || tells;
  columns_.push_back(std::move(column));
  return columns_.size() - 1;
}

void HeadingRows::TakeLine(std::string_view line) {
  if (++lines_ > kMostLines) return;
  for (const HeadingValue& value : ReadHeadingLine(line.substr(0, kMostBytes))) {
    const auto column = ColumnOf(value.label, FormOf(value.value));
    if (!column || !columns_[*column].is_time) continue;
    cells_.push_back({frames_,
                      static_cast<std::uint16_t>(*column),
                      static_cast<std::uint16_t>(value.value.size())});
    text_ += value.value;
  }
}

void HeadingRows::EndHeading() {
  ++frames_;
  lines_ = 0;
}

void HeadingRows::TakeFrame(const HeadingRows* other) {
  std::size_t offset = 0;
  for (std::size_t i = 0; other != nullptr && i < other->cells_.size(); ++i) {
    const Cell& cell = other->cells_[i];
    const Column& from = other->columns_[cell.column];
    const auto column = ColumnOf(from.label, from.form);
    if (column && cell.frame == 0) {
      cells_.push_back({frames_, static_cast<std::uint16_t>(*column), cell.length});
      text_.append(other->text_, offset, cell.length);
    }
    offset += cell.length;
  }
  EndHeading();
}

std::vector<std::string_view> HeadingRows::Values(std::size_t column) const {
  std::vector<std::string_view> values(static_cast<std::size_t>(frames_));
  std::size_t offset = 0;
  for (const Cell& cell : cells_) {
    const auto frame = static_cast<std::size_t>(cell.frame);
    // What stands below the last table is above none. Of two alike the first counts.
    if (cell.column == column && frame < values.size() && values[frame].empty()) {
      values[frame] = std::string_view(text_).substr(offset, cell.length);
    }
    offset += cell.length;
  }
  return values;
}

std::optional<HeadingTimes> ReadHeadingTimes(const HeadingRows& rows,
                                             int count,
                                             const std::string& where) {
  if (count < 2 || rows.frames() < count) return std::nullopt;
  std::optional<std::size_t> date;
  const auto& columns = rows.columns();
  for (std::size_t c = 0; c < columns.size() && !date; ++c) {
    if (columns[c].is_date && columns[c].is_time) date = c;
  }
  std::vector<Found> all;
  std::string open;  // A question that no other column answers.
  for (std::size_t c = 0; c < columns.size(); ++c) {
    if (!columns[c].is_time) continue;
    try {
      auto found = ReadColumn(rows, c, c == date ? std::nullopt : date, count, where);
      if (found) all.push_back(*std::move(found));
    } catch (const InputError& error) {
      open = error.what();
    }
  }
  if (all.empty() && !open.empty()) throw InputError(open);
  if (all.empty()) return std::nullopt;
  return Best(std::move(all), where).times;
}

}  // namespace ohmglow
