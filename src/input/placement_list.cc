// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "placement_list.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "loose_number.h"
#include "loose_table.h"
#include "ohmglow/base/error.h"
#include "package_sizes.h"
#include "part_words.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr double kSmallestBoardMm = 8;
constexpr double kLargestBoardMm = 500;

using Index = std::optional<std::size_t>;

class ListReader {
 public:
  ListReader(const LooseTable& table, const PlacementOptions& options)
      : table_(table), options_(options) {
    for (std::size_t c = 0; c < table.columns(); ++c) {
      const std::string_view unit = c < table.units.size() ? table.units[c] : std::string_view();
      meanings_.push_back(c < table.header.size() ? ReadPartHeader(table.header[c], unit)
                                                  : PartMeaning());
    }
  }

  PlacementList Read() {
    const std::size_t ref = Need(PartQuantity::kRef, "of the references (Ref)");
    const std::size_t x = Need(PartQuantity::kX, "x");
    const std::size_t y = Need(PartQuantity::kY, "y");
    FindUnit(x, y);
    FindChips();
    if (!Find(PartQuantity::kSide)) {
      list_.guesses.emplace_back("all parts are taken to be on the top");
    }
    for (std::size_t row = 0; row < table_.rows.size(); ++row) TryRow(row, ref, x, y);
    CheckLosses();
    UnmirrorBottom();
    TellSizes();
    return std::move(list_);
  }

 private:
  Index Find(PartQuantity quantity) const {
    Index found;
    for (std::size_t c = 0; c < meanings_.size(); ++c) {
      if (meanings_[c].quantity != quantity) continue;
      if (!found || meanings_[c].rank < meanings_[*found].rank) found = c;
    }
    return found;
  }

  std::size_t Need(PartQuantity quantity, const std::string& what) const {
    if (const Index found = Find(quantity)) return *found;
    throw InputError(table_.name + ", row " + std::to_string(std::max(table_.header_line, 1)) +
                     ": column " + what + " is missing; the header has " + table_.ColumnNames());
  }

  std::optional<LooseQuantity> TryQuantity(std::size_t row, std::size_t column) const {
    return ParseQuantity(table_.Cell(row, column), table_.Decimal(column));
  }

  LooseQuantity Quantity(std::size_t row, std::size_t column) const {
    if (const auto quantity = TryQuantity(row, column)) return *quantity;
    const std::string_view cell = table_.Cell(row, column);
    throw InputError(table_.Where(row, column) + ": " +
                     (cell.empty() ? "is empty" : Quoted(cell) + " is not a finite number") +
                     "; give a number with or without a unit");
  }

  double Extent(std::size_t column) const {
    double low = std::numeric_limits<double>::infinity();
    double high = -low;
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const auto quantity = TryQuantity(row, column);
      if (!quantity) continue;
      low = std::min(low, quantity->value);
      high = std::max(high, quantity->value);
    }
    return std::max(high - low, 0.0);  // None: infinitely less than nothing.
  }

  // The unit of coordinates that carry none: what makes a board of them.
  void FindUnit(std::size_t x, std::size_t y) {
    if (options_.unit) {
      unit_ = ParseUnit(*options_.unit).value_or(Unit{Dimension::kLength, 1, "mm"});
      return;
    }
    const auto has_unit = [&](std::size_t c) {
      if (meanings_[c].unit) return true;
      for (std::size_t row = 0; row < table_.rows.size(); ++row) {
        if (const auto quantity = TryQuantity(row, c)) return quantity->unit.has_value();
      }
      return false;
    };
    if (has_unit(x) && has_unit(y)) return;
    const double extent = std::max(Extent(x), Extent(y));
    std::vector<Unit> likely;
    for (const char* name : {"mm", "mil", "inch"}) {
      const Unit unit = *ParseUnit(name);
      const double mm = extent * unit.factor;
      if (mm >= kSmallestBoardMm && mm <= kLargestBoardMm) likely.push_back(unit);
    }
    if (likely.size() == 1) {
      unit_ = likely[0];
      list_.guesses.push_back("coordinates are taken in " + unit_.name);
      return;
    }
    std::string names;
    for (const Unit& unit : likely) names += (names.empty() ? "" : " or ") + unit.name;
    if (names.empty()) names = "mm, mil or inch";
    throw InputError(table_.name + ", row " + std::to_string(std::max(table_.header_line, 1)) +
                     ": coordinates over " + FormatNumber(extent) + " without a unit may be " +
                     names + "; say which, such as board.parts_unit = mm");
  }

  double Millimetres(std::size_t row, std::size_t column) const {
    const LooseQuantity quantity = Quantity(row, column);
    const auto& unit = quantity.unit ? quantity.unit : meanings_[column].unit;
    const Unit used = unit && unit->dimension == Dimension::kLength ? *unit : unit_;
    return quantity.value * used.factor;
  }

  // 0603 is a chip of both counts: the other chips of the list tell which it keeps.
  void FindChips() {
    metric_ = options_.metric_chips.value_or(false);
    const Index package = Find(PartQuantity::kPackage);
    if (options_.metric_chips || !package) return;
    bool inch = false;
    bool metric = false;
    std::size_t open = table_.rows.size();
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const std::string_view name = table_.Cell(row, *package);
      const auto size = SizeOfPackage(name);
      if (size && size->code_open) open = std::min(open, row);
      const auto has = [&](std::initializer_list<const char*> codes) {
        return std::any_of(codes.begin(), codes.end(), [&](const char* code) {
          return name.find(code) != std::string_view::npos;
        });
      };
      inch |= has({"0402", "0805", "1206", "1210"});
      metric |= has({"1005", "1608", "2012", "3216"});
    }
    if (open == table_.rows.size() || (inch && !metric)) return;
    metric_ = metric && !inch;
    if (metric_) return;
    if (inch) return;  // Both in one name: "0402 (1005 metric)".
    throw InputError(table_.Where(open, *package) + ": " + Quoted(table_.Cell(open, *package)) +
                     " may be 1.6 x 0.8 mm (code in inches) or 0.6 x 0.3 mm (metric code); say "
                     "which, board.parts_chips = inch or metric");
  }

  BoardSide Side(std::size_t row) {
    const Index column = Find(PartQuantity::kSide);
    if (!column) return BoardSide::kTop;
    const std::string_view word = table_.Cell(row, *column);
    if (options_.top_word) {
      return Fold(word) == Fold(*options_.top_word) ? BoardSide::kTop : BoardSide::kBottom;
    }
    if (const auto side = ParseLooseSide(word)) return *side;
    throw InputError(
        table_.Where(row, *column) + ": " + Quoted(word) +
        " may be top or bottom; say which word means top, such as board.parts_top = 1");
  }

  std::string Kind(std::size_t row, const std::string& ref) const {
    if (const Index kind = Find(PartQuantity::kKind)) return std::string(table_.Cell(row, *kind));
    return KindOfRef(ref);
  }

  BodySize Size(std::size_t row, const Part& part) {
    const Index width = Find(PartQuantity::kWidth);
    const Index height = Find(PartQuantity::kHeight);
    if (width && height) return {Millimetres(row, *width), Millimetres(row, *height), false};
    const Index package = Find(PartQuantity::kPackage);
    if (package) {
      std::string name(table_.Cell(row, *package));
      auto size = SizeOfPackage(name);
      if (size && size->code_open && metric_) size = BodySize{0.6, 0.3, false};
      if (size) {
        sizes_by_pins_ += size->by_pins ? 1 : 0;
        return *size;
      }
    }
    ++guessed_sizes_;
    return UsualSize(part.kind);
  }

  void ReadRow(std::size_t row, std::size_t ref, std::size_t x, std::size_t y) {
    Part part;
    part.ref = table_.Cell(row, ref);
    if (part.ref.empty()) {
      throw InputError(table_.Where(row, ref) + ": is empty; give the part's designator");
    }
    part.center_mm = {Millimetres(row, x), Millimetres(row, y)};
    part.side = Side(row);
    part.kind = Kind(row, part.ref);
    const BodySize size = Size(row, part);
    double turn_deg = 0;
    if (const Index rotation = Find(PartQuantity::kRotation))
      turn_deg = Quantity(row, *rotation).value;
    // The box around the turned body; width and height change places at a right angle.
    const double turn = turn_deg * std::numbers::pi / 180;
    const double c = std::abs(std::cos(turn));
    const double s = std::abs(std::sin(turn));
    part.width_mm = c * size.x_mm + s * size.y_mm;
    part.height_mm = s * size.x_mm + c * size.y_mm;
    list_.parts.push_back(std::move(part));
  }

  // One spoilt row costs one part, not the list.
  void TryRow(std::size_t row, std::size_t ref, std::size_t x, std::size_t y) {
    try {
      ReadRow(row, ref, x, y);
    } catch (const InputError& error) {
      if (++lost_ == 1) first_loss_ = error.what();
    }
  }

  // Over a tenth lost: the list is not what it seems.
  void CheckLosses() {
    if (lost_ == 0) return;
    const std::size_t all = table_.rows.size();
    if (lost_ * 10 > all) {
      if (lost_ == 1) throw InputError(first_loss_);
      throw InputError(first_loss_ + " (" + std::to_string(lost_) + " of " + std::to_string(all) +
                       " rows cannot be used)");
    }
    const std::string where = first_loss_.substr(table_.name.size() + 2);
    list_.guesses.push_back(lost_ == 1 ? "left out: " + where
                                       : std::to_string(lost_) + " rows left out, first " + where);
  }

  void TellSizes() {
    const auto tell = [&](std::size_t parts, const std::string& from) {
      if (parts == 0) return;
      list_.guesses.push_back(parts == 1 ? "the body of 1 part is guessed from its " + from
                                         : "the bodies of " + std::to_string(parts) +
                                               " parts are guessed from their " + from);
    };
    tell(sizes_by_pins_, "number of pins");
    tell(guessed_sizes_, guessed_sizes_ == 1 ? "kind" : "kinds");
  }

  // A bottom that is seen from below has its x to the other side of zero.
  void UnmirrorBottom() {
    bool top_right = true;
    bool bottom_left = true;
    std::size_t bottoms = 0;
    for (const Part& part : list_.parts) {
      const bool bottom = part.side == BoardSide::kBottom;
      bottoms += bottom ? 1 : 0;
      if (bottom) bottom_left &= part.center_mm.x < 0;
      if (!bottom) top_right &= part.center_mm.x >= 0;
    }
    const bool one_side = bottoms == 0 || bottoms == list_.parts.size();
    const bool looks_mirrored = !one_side && top_right && bottom_left;
    if (options_.bottom_mirrored.value_or(looks_mirrored)) {
      for (Part& part : list_.parts) {
        if (part.side == BoardSide::kBottom) part.center_mm.x = -part.center_mm.x;
      }
    }
    if (options_.bottom_mirrored || one_side) return;
    list_.guesses.emplace_back(looks_mirrored
                                   ? "x of the bottom, negative throughout, is taken as mirrored"
                                   : "x of the bottom is taken as seen from the top");
  }

  const LooseTable& table_;
  const PlacementOptions& options_;
  std::vector<PartMeaning> meanings_;
  Unit unit_{Dimension::kLength, 1, "mm"};
  bool metric_ = false;
  std::size_t guessed_sizes_ = 0;
  std::size_t sizes_by_pins_ = 0;
  std::size_t lost_ = 0;
  std::string first_loss_;
  PlacementList list_;
};

}  // namespace

PlacementList ParsePlacementList(std::string_view bytes,
                                 const std::string& name,
                                 const PlacementOptions& options) {
  LooseOptions form;
  form.knows = &KnowsPartHeader;
  form.delimiter = options.delimiter;
  form.decimal = options.decimal;
  form.delimiter_key = "board.parts_delimiter";
  form.decimal_key = "board.parts_decimal";
  const LooseTable table = ReadLooseTable(bytes, name, form);
  return ListReader(table, options).Read();
}

}  // namespace ohmglow
