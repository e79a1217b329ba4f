// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "log_columns.h"

#include <algorithm>
#include <array>

#include "loose_number.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

using Indices = std::vector<std::size_t>;

constexpr std::array<LogQuantity, 6> kQuantities = {LogQuantity::kTime,
                                                    LogQuantity::kDate,
                                                    LogQuantity::kVolts,
                                                    LogQuantity::kAmps,
                                                    LogQuantity::kWatts,
                                                    LogQuantity::kOutput};

std::string Row1(const LooseTable& table) {
  return table.name + ", row " + std::to_string(std::max(table.header_line, 1)) + ": ";
}

[[noreturn]] void FailStated(const LooseTable& table, const std::string& what) {
  throw InputError(
      table.name + ": supply.columns " + what +
      "; write it like time=1, volts=2, amps=3, by names or numbers of: " + table.ColumnNames());
}

class Chooser {
 public:
  explicit Chooser(const LooseTable& table) : table_(table) {
    for (std::size_t c = 0; c < table.columns(); ++c) {
      const std::string_view unit = c < table.units.size() ? table.units[c] : std::string_view();
      choice_.meanings.push_back(c < table.header.size() ? ReadLogHeader(table.header[c], unit)
                                                         : LogMeaning());
    }
  }

  LogChoice Stated(const std::string& text) {
    for (LogMeaning& meaning : choice_.meanings) meaning.quantity = LogQuantity::kNone;
    std::size_t begin = 0;
    while (begin <= text.size()) {
      const std::size_t end = std::min(text.find(',', begin), text.size());
      TakeStated(Trim(std::string_view(text).substr(begin, end - begin)));
      begin = end + 1;
    }
    return std::move(choice_);
  }

  LogChoice ByHeader() {
    CheckTwice();
    choice_.amps = One(LogQuantity::kAmps);
    choice_.volts = One(LogQuantity::kVolts);
    choice_.watts = One(LogQuantity::kWatts);
    choice_.output = First(LogQuantity::kOutput);
    choice_.date = First(LogQuantity::kDate);
    choice_.times = All(LogQuantity::kTime);
    return std::move(choice_);
  }

 private:
  Indices All(LogQuantity quantity) const {
    Indices all;
    for (std::size_t c = 0; c < choice_.meanings.size(); ++c) {
      if (choice_.meanings[c].quantity == quantity) all.push_back(c);
    }
    return all;
  }

  std::optional<std::size_t> First(LogQuantity quantity) const {
    const Indices all = All(quantity);
    return all.empty() ? std::nullopt : std::optional(all[0]);
  }

  void TakeStated(std::string_view part) {
    if (part.empty()) return;
    const std::size_t equals = part.find('=');
    const std::string role = ToLower(Trim(part.substr(0, equals)));
    const auto quantity = std::find_if(kQuantities.begin(), kQuantities.end(), [&](LogQuantity q) {
      return QuantityName(q) == role;
    });
    if (equals == std::string_view::npos || quantity == kQuantities.end()) {
      FailStated(table_, "has " + Quoted(part));
    }
    std::string_view name = Trim(part.substr(equals + 1));
    auto column = FindColumn(table_, name);
    std::optional<Unit> unit;
    const std::size_t colon = name.rfind(':');
    if (!column && colon != std::string_view::npos) {
      unit = ParseUnit(name.substr(colon + 1));
      column = FindColumn(table_, Trim(name.substr(0, colon)));
      if (column && !unit) FailStated(table_, "has no unit after the colon in " + Quoted(part));
    }
    if (!column) FailStated(table_, "names " + Quoted(name) + ", which is no column");
    LogMeaning& meaning = choice_.meanings[*column];
    if (unit) meaning.unit = unit;
    meaning.quantity = *quantity;
    Put(*quantity, *column);
  }

  void Put(LogQuantity quantity, std::size_t column) {
    switch (quantity) {
      case LogQuantity::kTime:
        choice_.times = {column};
        break;
      case LogQuantity::kDate:
        choice_.date = column;
        break;
      case LogQuantity::kVolts:
        choice_.volts = column;
        break;
      case LogQuantity::kAmps:
        choice_.amps = column;
        break;
      case LogQuantity::kWatts:
        choice_.watts = column;
        break;
      case LogQuantity::kOutput:
        choice_.output = column;
        break;
      case LogQuantity::kNone:
        break;
    }
  }

  void CheckTwice() const {
    for (std::size_t c = 0; c < table_.header.size(); ++c) {
      const bool used = choice_.meanings[c].quantity != LogQuantity::kNone;
      for (std::size_t other = 0; used && other < c; ++other) {
        if (Fold(table_.header[c]) != Fold(table_.header[other])) continue;
        throw InputError(Row1(table_) + "column " + table_.ColumnName(c) +
                         " stands twice in the header; keep one, or say supply.columns with the "
                         "numbers of the columns");
      }
    }
  }

  bool IsZero(std::size_t column) const {
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const auto value = ParseQuantity(table_.Cell(row, column), '.');
      if (value && value->value != 0) return false;
    }
    return true;
  }

  // Those of `columns` that a test keeps, or all where it keeps none.
  template <typename Test>
  static Indices Keep(const Indices& columns, const Test& test) {
    Indices kept;
    std::copy_if(columns.begin(), columns.end(), std::back_inserter(kept), test);
    return kept.empty() ? columns : kept;
  }

  // The column of a quantity, with the channel of the amps once they are chosen.
  std::optional<std::size_t> One(LogQuantity quantity) {
    Indices columns = All(quantity);
    if (columns.empty()) return std::nullopt;
    const auto& meanings = choice_.meanings;
    if (choice_.amps && !meanings[*choice_.amps].channel.empty()) {
      columns = Keep(columns, [&](std::size_t c) {
        return meanings[c].channel == meanings[*choice_.amps].channel;
      });
    }
    columns = Keep(columns, [&](std::size_t c) { return !meanings[c].is_set; });
    columns = Keep(columns, [&](std::size_t c) { return meanings[c].is_real; });
    if (columns.size() > 1) columns = KeepLive(columns);
    if (columns.size() > 1) FailSeveral(quantity, columns);
    return columns[0];
  }

  Indices KeepLive(const Indices& columns) {
    Indices live = Keep(columns, [&](std::size_t c) { return !IsZero(c); });
    if (live.size() != 1) return live;
    std::string dead;
    for (const std::size_t c : columns) {
      if (c != live[0]) dead += (dead.empty() ? "" : " and ") + table_.ColumnName(c);
    }
    choice_.guesses.push_back(dead + " is zero throughout, so " + table_.ColumnName(live[0]) +
                              " is used");
    return live;
  }

  [[noreturn]] void FailSeveral(LogQuantity quantity, const Indices& columns) const {
    std::string names;
    for (const std::size_t c : columns) names += (names.empty() ? "" : ", ") + table_.ColumnName(c);
    throw InputError(Row1(table_) + "several columns may be the " + QuantityName(quantity) + ": " +
                     names + "; say which, such as supply.columns = " + Example(columns[0]));
  }

  // A whole setting with the amps (or what else is open) of one column.
  std::string Example(std::size_t column) const {
    std::string text;
    const LogMeaning& open = choice_.meanings[column];
    for (const LogQuantity quantity :
         {LogQuantity::kTime, LogQuantity::kVolts, LogQuantity::kAmps}) {
      const Indices all = All(quantity);
      if (all.empty()) continue;
      std::size_t pick = all[0];
      for (const std::size_t c : all) {
        if (c == column) pick = c;
        const bool same = choice_.meanings[c].channel == open.channel;
        if (open.quantity != quantity && same && !open.channel.empty()) pick = c;
      }
      text += (text.empty() ? "" : ", ") + QuantityName(quantity) + "=" + table_.ColumnName(pick);
    }
    return text;
  }

  const LooseTable& table_;
  LogChoice choice_;
};

// What to write where no header says it: time, volts and amps in the usual order.
std::string NumberedExample(const LooseTable& table) {
  return table.columns() > 2 ? "time=1, volts=2, amps=3" : "time=1, amps=2";
}

}  // namespace

LogChoice ChooseLogColumns(const LooseTable& table, const std::optional<std::string>& stated) {
  if (!stated && table.header.empty()) {
    throw InputError(
        table.name + ", row " + std::to_string(table.rows[0].line) +
        ": there is no header above these " + std::to_string(table.columns()) +
        " columns; say what they are, such as supply.columns = " + NumberedExample(table));
  }
  LogChoice choice = stated ? Chooser(table).Stated(*stated) : Chooser(table).ByHeader();
  if (choice.amps || choice.watts) return choice;
  throw InputError(Row1(table) + "column amps is missing; the header has " + table.ColumnNames() +
                   "; if one of them is the current, say so, such as supply.columns = " +
                   NumberedExample(table));
}

}  // namespace ohmglow
