// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "supply_log.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numeric>
#include <utility>

#include "base/median.h"
#include "log_clock.h"
#include "log_values.h"
#include "loose_table.h"
#include "ohmglow/base/error.h"
#include "slipped_point.h"
#include "text.h"

namespace ohmglow {
namespace {

struct Row {
  double time_s = 0;
  double volts_v = 0;
  double amps_a = 0;
  std::size_t index = 0;  // Of the table's rows.
};

bool SameValues(const Row& a, const Row& b) {
  const auto same = [](double x, double y) { return x == y || (std::isnan(x) && std::isnan(y)); };
  return same(a.volts_v, b.volts_v) && same(a.amps_a, b.amps_a);
}

// Brings the rows of one log into order; what cannot be used goes to the losses.
class RowKeeper {
 public:
  RowKeeper(const LooseTable& table, const LogClock& clock, LogReading& reading)
      : table_(table), clock_(clock), reading_(reading) {
    reading_.rows = static_cast<int>(table.rows.size());
  }

  std::vector<Row> Keep(const std::vector<LogValues>& values) {
    for (std::size_t i = 0; i < values.size(); ++i) Take(values[i], i);
    if (IsCoarse()) {
      Spread();
    }
    std::vector<Row> kept;
    for (const Row& row : rows_) Append(row, kept);
    if (sorted_ > 0) {
      std::stable_sort(
          kept.begin(), kept.end(), [](const Row& a, const Row& b) { return a.time_s < b.time_s; });
      DropEqual(kept);
    }
    DropSlips(kept);
    CheckLosses(kept.size());
    if (sorted_ > 0) {
      reading_.guesses.push_back(std::to_string(sorted_) + " rows out of order were put in order");
    }
    return kept;
  }

 private:
  std::string TimeColumn(std::size_t row) const {
    if (clock_.columns.empty()) return "row " + std::to_string(table_.rows[row].line);
    return table_.Where(row, clock_.columns[0]).substr(table_.name.size() + 2);
  }

  std::string TimeText(std::size_t row) const {
    const std::string_view cell =
        clock_.columns.empty() ? std::string_view() : table_.Cell(row, clock_.columns[0]);
    const std::string quoted = Quoted(cell);
    return quoted.substr(1, quoted.size() - 2);
  }

  void Lose(std::size_t row, std::string reason, bool counts) {
    reading_.lost.push_back({table_.rows[row].line, std::move(reason)});
    if (counts) ++unusable_;
  }

  void Take(const LogValues& values, std::size_t i) {
    if (!values.problem.empty()) return Lose(i, values.problem, true);
    const auto time_s = clock_.time_s[i];
    if (!time_s) {
      const std::string text = TimeText(i);
      return Lose(i,
                  TimeColumn(i) + (text.empty() ? ": is empty; give a time"
                                                : ": '" + text + "' is not a time like the others"),
                  true);
    }
    rows_.push_back({*time_s, values.volts_v, values.amps_a, i});
  }

  // Whether the clock is coarser than the rows: many share one time.
  bool IsCoarse() const {
    if (rows_.size() < 4) return false;
    std::size_t equal = 0;
    for (std::size_t i = 1; i < rows_.size(); ++i) {
      equal += rows_[i].time_s == rows_[i - 1].time_s ? 1 : 0;
    }
    return equal * 5 > rows_.size() && equal + 2 < rows_.size();
  }

  // Rows of one time lie evenly within its step; the first step may have begun before the log.
  void Spread() {
    std::vector<std::size_t> begins;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (i == 0 || rows_[i].time_s != rows_[i - 1].time_s) begins.push_back(i);
    }
    std::vector<double> spacings_s;
    for (std::size_t g = 1; g + 1 < begins.size(); ++g) {
      const std::size_t count = begins[g + 1] - begins[g];
      spacings_s.push_back((rows_[begins[g + 1]].time_s - rows_[begins[g]].time_s) /
                           static_cast<double>(count));
    }
    std::vector<double> ordered_s = spacings_s;
    const double usual_s = ordered_s.empty() ? 0 : MedianOf(ordered_s);
    for (std::size_t g = 0; g < begins.size(); ++g) {
      const std::size_t end = g + 1 < begins.size() ? begins[g + 1] : rows_.size();
      const std::size_t count = end - begins[g];
      const bool whole = g > 0 && g + 1 < begins.size();
      const double spacing_s = whole ? spacings_s[g - 1] : usual_s;
      const double start_s = g == 0 && end < rows_.size()
                                 ? rows_[end].time_s - static_cast<double>(count) * spacing_s
                                 : rows_[begins[g]].time_s;
      for (std::size_t i = 0; i < count; ++i) {
        rows_[begins[g] + i].time_s = start_s + static_cast<double>(i) * spacing_s;
      }
    }
    reading_.guesses.push_back("rows of one time are spread evenly until the next");
  }

  void Append(const Row& row, std::vector<Row>& kept) {
    if (kept.empty() || row.time_s > latest_s_) {
      latest_s_ = row.time_s;
      kept.push_back(row);
      return;
    }
    const std::string before = TimeText(kept.back().index);
    const bool equal = row.time_s == kept.back().time_s;
    if (equal && SameValues(row, kept.back())) {
      return Lose(row.index,
                  TimeColumn(row.index) + ": " + TimeText(row.index) + " repeats " + before +
                      " of the row before; times must rise from row to row",
                  false);
    }
    if (equal) {
      return Lose(row.index,
                  TimeColumn(row.index) + ": " + TimeText(row.index) + " repeats " + before +
                      " of the row before with other values; times must rise from row "
                      "to row",
                  true);
    }
    if (first_backwards_.empty()) {
      first_backwards_ = TimeColumn(row.index) + ": " + TimeText(row.index) +
                         " runs backwards from " + before +
                         " of the row before; times must rise from row to row";
      if (!table_.header_again.empty()) {
        first_backwards_ += "; the header stands again in row " +
                            std::to_string(table_.header_again[0]) +
                            ", so these may be two logs in one file";
      }
    }
    ++sorted_;
    kept.push_back(row);
  }

  void DropEqual(std::vector<Row>& kept) {
    std::vector<Row> rising;
    for (const Row& row : kept) {
      if (rising.empty() || row.time_s > rising.back().time_s) {
        rising.push_back(row);
      } else {
        Lose(row.index, TimeColumn(row.index) + ": " + TimeText(row.index) + " stands twice", true);
      }
    }
    kept = std::move(rising);
  }

  void DropSlips(std::vector<Row>& kept) {
    std::vector<double> amps;
    for (const Row& row : kept) amps.push_back(row.amps_a);
    const std::vector<std::size_t> slipped = FindSlippedPoints(amps);
    for (const std::size_t i : slipped) {
      char text[160];
      std::snprintf(
          text,
          sizeof text,
          "row %d: %.4g A stands alone between %.4g A and %.4g A; has a decimal point slipped?",
          static_cast<int>(table_.rows[kept[i].index].line),
          kept[i].amps_a,
          kept[i - 1].amps_a,
          kept[i + 1].amps_a);
      Lose(kept[i].index, text, true);
    }
    for (auto i = slipped.rbegin(); i != slipped.rend(); ++i) {
      kept.erase(kept.begin() + static_cast<std::ptrdiff_t>(*i));
    }
  }

  // Over a tenth lost, or out of order: the log is not what it seems.
  void CheckLosses(std::size_t kept) const {
    const std::size_t all = table_.rows.size();
    if (sorted_ * 10 > all) throw InputError(table_.name + ", " + first_backwards_);
    const bool too_many = unusable_ * 10 > all;
    if ((!too_many && kept >= 2) || reading_.lost.empty()) return;
    std::string more;
    if (unusable_ > 1) {
      more =
          " (" + std::to_string(unusable_) + " of " + std::to_string(all) + " rows cannot be used)";
    }
    throw InputError(table_.name + ", " + reading_.lost[0].reason + more);
  }

  const LooseTable& table_;
  const LogClock& clock_;
  LogReading& reading_;
  std::vector<Row> rows_;
  std::size_t unusable_ = 0;
  std::size_t sorted_ = 0;
  double latest_s_ = 0;
  std::string first_backwards_;
};

LogColumn Describe(const LooseTable& table,
                   const LogChoice& choice,
                   LogQuantity quantity,
                   std::size_t c,
                   const std::string& usual_unit) {
  const auto& unit = choice.meanings[c].unit;
  return {QuantityName(quantity),
          table.ColumnName(c),
          static_cast<int>(c) + 1,
          unit ? unit->name : usual_unit};
}

void DescribeAll(const LooseTable& table,
                 const LogChoice& choice,
                 const LogClock& clock,
                 LogReading& reading) {
  const auto add = [&](LogQuantity quantity, std::optional<std::size_t> c, const char* unit) {
    if (c) reading.columns.push_back(Describe(table, choice, quantity, *c, unit));
  };
  for (const std::size_t c : clock.columns) add(LogQuantity::kTime, c, clock.unit.c_str());
  const bool date_apart = choice.date && !clock.columns.empty() && clock.columns[0] != *choice.date;
  if (date_apart) add(LogQuantity::kDate, choice.date, "");
  add(LogQuantity::kVolts, choice.volts, "V");
  if (choice.amps) {
    add(LogQuantity::kAmps, choice.amps, "A");
  } else {
    add(LogQuantity::kWatts, choice.watts, "W");
  }
  if (choice.amps && choice.meanings[*choice.amps].is_set) {
    add(LogQuantity::kOutput, choice.output, "");
  }
  const std::size_t main = choice.amps ? *choice.amps : choice.watts.value_or(0);
  reading.encoding = table.encoding;
  reading.delimiter = DelimiterWord(table.delimiter);
  reading.decimal = table.Decimal(main);
  reading.lines_above = table.lines_above;
  reading.time = clock.kind;
}

[[noreturn]] void FailRows(const std::string& name, std::size_t rows) {
  throw InputError(name + ": has " + std::to_string(rows) +
                   " data rows; a supply log needs at least 2, or leave supply.log out");
}

LooseOptions FormOptions(const LogOptions& options) {
  LooseOptions form;
  form.knows = &KnowsLogHeader;
  form.delimiter = options.delimiter;
  form.decimal = options.decimal;
  form.delimiter_key = "supply.delimiter";
  form.decimal_key = "supply.decimal";
  return form;
}

}  // namespace

ReadLog ParseSupplyLog(std::string_view bytes, const std::string& name, const LogOptions& options) {
  const LooseTable table = ReadLooseTable(bytes, name, FormOptions(options));
  const LogChoice choice = ChooseLogColumns(table, options.columns);
  if (table.rows.empty()) FailRows(name, 0);
  ReadLog read;
  read.reading.guesses = choice.guesses;
  const LogClock clock = ReadLogClock(table, choice, options);
  for (const std::string& guess : clock.guesses) read.reading.guesses.push_back(guess);
  const std::vector<LogValues> values = ReadLogValues(table, choice, options, read.reading.guesses);
  const std::vector<Row> rows = RowKeeper(table, clock, read.reading).Keep(values);
  if (rows.size() < 2) FailRows(name, rows.size());
  DescribeAll(table, choice, clock, read.reading);
  read.reading.rows_used = static_cast<int>(rows.size());
  for (const Row& row : rows) {
    read.log.time_s.push_back(row.time_s);
    read.log.volts_v.push_back(row.volts_v);
    read.log.amps_a.push_back(row.amps_a);
  }
  read.log.wall = clock.wall;
  return read;
}

std::string DescribeColumns(const LogReading& reading) {
  std::string text;
  for (const LogColumn& column : reading.columns) {
    text += (text.empty() ? "" : ", ") + column.quantity + "=" + column.header;
    if (!column.unit.empty()) text += ":" + column.unit;
  }
  return text;
}

}  // namespace ohmglow
