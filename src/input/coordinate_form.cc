// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "coordinate_form.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "loose_number.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr double kSmallestBoardMm = 8;
// Of a known unit only the sign is open: two parts may be all that is listed.
constexpr double kSmallestListMm = 2;
constexpr double kLargestBoardMm = 500;

struct Reading {
  char decimal;
  Unit unit;
  double extent_mm;
};

class Form {
 public:
  Form(LooseTable& table,
       const std::vector<LengthColumn>& columns,
       std::size_t x,
       std::size_t y,
       const std::optional<Unit>& stated)
      : table_(table), columns_(columns), places_{x, y}, stated_(stated) {}

  CoordinateForm Find() {
    const bool units_known = columns_[places_[0]].unit && columns_[places_[1]].unit;
    const bool open_unit = !stated_ && !units_known;
    const std::vector<Reading> likely = Likely(open_unit);
    SettleSign(likely);
    CoordinateForm form;
    form.guesses = std::move(guesses_);
    if (stated_) form.unit = *stated_;
    if (!open_unit) return form;
    if (likely.size() != 1) FailUnit(likely);
    form.unit = likely[0].unit;
    form.guesses.push_back("coordinates are taken in " + form.unit.name);
    return form;
  }

 private:
  [[nodiscard]] bool IsOpen(std::size_t column) const { return table_.decimals[column] == '?'; }
  [[nodiscard]] bool SignIsOpen() const { return IsOpen(places_[0]) || IsOpen(places_[1]); }

  // In millimetres; 0 where no number is there.
  [[nodiscard]] double Extent(std::size_t column, char decimal, const Unit& plain) const {
    double low = std::numeric_limits<double>::infinity();
    double high = -low;
    const char sign = IsOpen(column) ? decimal : table_.decimals[column];
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const auto quantity = ParseQuantity(table_.Cell(row, column), sign);
      if (!quantity) continue;
      const Unit& unit = quantity->unit ? *quantity->unit : columns_[column].unit.value_or(plain);
      low = std::min(low, quantity->value * unit.factor);
      high = std::max(high, quantity->value * unit.factor);
    }
    return std::max(high - low, 0.0);  // None: infinitely less than nothing.
  }

  [[nodiscard]] double Extent(char decimal, const Unit& plain) const {
    return std::max(Extent(places_[0], decimal, plain), Extent(places_[1], decimal, plain));
  }

  [[nodiscard]] std::vector<Reading> Likely(bool open_unit) const {
    std::vector<Unit> units{stated_.value_or(*ParseUnit("mm"))};
    if (open_unit) units = {*ParseUnit("mm"), *ParseUnit("mil"), *ParseUnit("inch")};
    const double least_mm = open_unit ? kSmallestBoardMm : kSmallestListMm;
    std::vector<Reading> likely;
    for (const char decimal : {',', '.'}) {
      if (decimal == ',' && !SignIsOpen()) continue;
      for (const Unit& unit : units) {
        const double mm = Extent(decimal, unit);
        if (mm >= least_mm && mm <= kLargestBoardMm) likely.push_back({decimal, unit, mm});
      }
    }
    return likely;
  }

  // The other columns of a list are written as its coordinates are.
  void SettleSign(const std::vector<Reading>& likely) {
    if (!SignIsOpen()) return;
    const std::size_t column = IsOpen(places_[0]) ? places_[0] : places_[1];
    const bool one = !likely.empty() && likely.front().decimal == likely.back().decimal;
    if (!one) static_cast<void>(table_.Decimal(column));  // Asks.
    const char decimal = likely.front().decimal;
    const char other = decimal == ',' ? '.' : ',';
    guesses_.push_back(Example(column, decimal) + ", as the list would be " +
                       FormatNumber(std::round(Extent(other, likely.front().unit))) +
                       " mm long otherwise");
    std::replace(table_.decimals.begin(), table_.decimals.end(), '?', decimal);
  }

  // "23,000 is read as 23"
  [[nodiscard]] std::string Example(std::size_t column, char decimal) const {
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const std::string_view cell = table_.Cell(row, column);
      const auto quantity = ParseQuantity(cell, decimal);
      if (!quantity || HintOf(cell) != DecimalHint::kEitherComma) continue;
      return std::string(cell) + " is read as " + FormatNumber(quantity->value);
    }
    return {};
  }

  [[noreturn]] void FailUnit(const std::vector<Reading>& likely) const {
    std::string names;
    for (const Reading& reading : likely) {
      names += (names.empty() ? "" : " or ") + reading.unit.name;
    }
    if (names.empty()) names = "mm, mil or inch";
    throw InputError(table_.name + ", row " + std::to_string(std::max(table_.header_line, 1)) +
                     ": coordinates over " + FormatNumber(Extent('.', *ParseUnit("mm"))) +
                     " without a unit may be " + names +
                     "; say which, such as board.parts_unit = mm");
  }

  LooseTable& table_;
  const std::vector<LengthColumn>& columns_;
  std::size_t places_[2];
  const std::optional<Unit>& stated_;
  std::vector<std::string> guesses_;
};

}  // namespace

LengthColumn FindLengthColumn(const LooseTable& table,
                              std::size_t column,
                              const std::optional<Unit>& header) {
  if (header && header->dimension == Dimension::kLength) return {header, false};
  LengthColumn out;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    // Whatever its decimal sign is, the unit behind it is the same.
    const auto quantity = ParseQuantity(table.Cell(row, column), '.');
    if (!quantity || !quantity->unit || quantity->unit->dimension != Dimension::kLength) continue;
    out.mixed = out.mixed || (out.unit && out.unit->name != quantity->unit->name);
    if (!out.unit) out.unit = quantity->unit;
  }
  return out;
}

CoordinateForm FindCoordinateForm(LooseTable& table,
                                  const std::vector<LengthColumn>& columns,
                                  std::size_t x,
                                  std::size_t y,
                                  const std::optional<Unit>& stated) {
  return Form(table, columns, x, y, stated).Find();
}

}  // namespace ohmglow
