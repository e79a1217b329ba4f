// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "placement_list.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "coordinate_form.h"
#include "loose_number.h"
#include "loose_table.h"
#include "ohmglow/base/error.h"
#include "package_sizes.h"
#include "part_columns.h"
#include "part_words.h"
#include "text.h"

namespace ohmglow {
namespace {

using Index = std::optional<std::size_t>;

class ListReader {
 public:
  ListReader(LooseTable table, const PlacementOptions& options)
      : table_(std::move(table)), options_(options) {
    PartColumns columns = ChoosePartColumns(table_, options.columns);
    meanings_ = std::move(columns.meanings);
    list_.guesses = std::move(columns.guesses);
  }

  PlacementList Read() {
    const std::size_t ref = Need(PartQuantity::kRef, "of the references (Ref)");
    const std::size_t x = Need(PartQuantity::kX, "x");
    const std::size_t y = Need(PartQuantity::kY, "y");
    FindLengths(x, y);
    FindChips();
    FindSides();
    if (!side_) {
      list_.guesses.emplace_back("all parts are taken to be on the top");
    }
    for (std::size_t row = 0; row < table_.rows.size(); ++row) TryRow(row, ref, x, y);
    CheckLosses();
    UnmirrorBottom();
    TellSizes();
    TellColumns();
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
    throw InputError(
        table_.name + ", row " + std::to_string(std::max(table_.header_line, 1)) + ": column " +
        what + " is missing; the header has " + table_.ColumnNames() +
        "; say which, such as board.parts_columns = " + ExampleOfPartColumns(table_, meanings_));
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

  // What the lengths of this column mean, and what makes a board of the coordinates.
  void FindLengths(std::size_t x, std::size_t y) {
    for (std::size_t c = 0; c < meanings_.size(); ++c) {
      lengths_.push_back(FindLengthColumn(table_, c, meanings_[c].unit));
    }
    std::optional<Unit> stated;
    if (options_.unit) stated = ParseUnit(*options_.unit);
    CoordinateForm form = FindCoordinateForm(table_, lengths_, x, y, stated);
    unit_ = std::move(form.unit);
    std::move(form.guesses.begin(), form.guesses.end(), std::back_inserter(list_.guesses));
    // A turn by thousands of degrees is none.
    const Index rotation = Find(PartQuantity::kRotation);
    if (rotation && table_.decimals[*rotation] == '?') table_.decimals[*rotation] = ',';
  }

  double Millimetres(std::size_t row, std::size_t column) const {
    const LooseQuantity quantity = Quantity(row, column);
    if (quantity.unit && quantity.unit->dimension == Dimension::kLength) {
      return quantity.value * quantity.unit->factor;
    }
    const LengthColumn& length = lengths_[column];
    if (length.mixed) {
      throw InputError(table_.Where(row, column) + ": " + Quoted(table_.Cell(row, column)) +
                       " has no unit, and others of its column have several; write it behind");
    }
    return quantity.value * length.unit.value_or(unit_).factor;
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

  std::optional<BoardSide> SideOf(std::string_view word) const {
    if (!options_.top_word) return ParseLooseSide(word);
    return Fold(word) == Fold(*options_.top_word) ? BoardSide::kTop : BoardSide::kBottom;
  }

  // Who marks the bottom alone leaves the cells of the top empty.
  void FindSides() {
    const Index column = Find(PartQuantity::kSide);
    if (!column) return;
    std::size_t empty = 0;
    std::size_t bottom = 0;
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const std::string_view word = table_.Cell(row, *column);
      empty += word.empty() ? 1 : 0;
      bottom += !word.empty() && SideOf(word) == BoardSide::kBottom ? 1 : 0;
    }
    if (empty == table_.rows.size()) return;  // As if the column were not there.
    side_ = column;
    empty_is_top_ = empty > 0 && bottom > 0 && empty + bottom == table_.rows.size();
    if (empty_is_top_)
      list_.guesses.emplace_back("parts without a side are taken to be on the top");
  }

  BoardSide Side(std::size_t row) const {
    if (!side_) return BoardSide::kTop;
    const std::string_view word = table_.Cell(row, *side_);
    if (word.empty() && empty_is_top_) return BoardSide::kTop;
    if (word.empty()) {
      throw InputError(table_.Where(row, *side_) + ": is empty; write top or bottom");
    }
    if (const auto side = SideOf(word)) return *side;
    throw InputError(
        table_.Where(row, *side_) + ": " + Quoted(word) +
        " may be top or bottom; say which word means top, such as board.parts_top = 1");
  }

  std::string Kind(std::size_t row, const std::string& ref) const {
    if (const Index kind = Find(PartQuantity::kKind)) return std::string(table_.Cell(row, *kind));
    return KindOfRef(ref);
  }

  BodySize Size(std::size_t row, const Part& part) {
    const auto named = NamedSize(row);
    if (const auto stated = StatedSize(row, named.value_or(UsualSize(part.kind)))) return *stated;
    if (named) {
      sizes_by_pins_ += named->by_pins ? 1 : 0;
      return *named;
    }
    ++guessed_sizes_;
    return UsualSize(part.kind);
  }

  std::optional<BodySize> NamedSize(std::size_t row) const {
    const Index package = Find(PartQuantity::kPackage);
    if (!package) return std::nullopt;
    const auto size = SizeOfPackage(table_.Cell(row, *package));
    return size && size->code_open && metric_ ? BodySize{0.6, 0.3, false} : size;
  }

  // By the columns of sizes; nothing where a cell of them is empty or zero.
  std::optional<BodySize> StatedSize(std::size_t row, const BodySize& usual) const {
    const Index length = Find(PartQuantity::kLength);
    const Index width = Find(PartQuantity::kWidth);
    const Index height = Find(PartQuantity::kHeight);
    // Beside a length, a height is how far the body stands up from the board.
    const bool is_long = length && width;
    const Index first = is_long ? length : width ? width : length;
    const Index second = is_long ? width : height;
    if (!first || !second) return std::nullopt;
    if (table_.Cell(row, *first).empty() || table_.Cell(row, *second).empty()) return std::nullopt;
    BodySize size{Millimetres(row, *first), Millimetres(row, *second)};
    if (!(size.x_mm > 0 && size.y_mm > 0)) return std::nullopt;
    // A length may lie along either axis: as such bodies usually do.
    const bool crossed = (size.x_mm - size.y_mm) * (usual.x_mm - usual.y_mm) < 0;
    if (is_long && crossed) std::swap(size.x_mm, size.y_mm);
    return size;
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
    list_.lost_rows = lost_ == 1 ? "left out: " + where
                                 : std::to_string(lost_) + " rows left out, first " + where;
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
    if (guessed_sizes_ < list_.parts.size() || list_.parts.empty()) return;
    std::string names;
    for (std::size_t c = 0; c < meanings_.size(); ++c) {
      if (!HoldsSizes(c)) continue;
      names += (names.empty() ? "" : ", ") + table_.ColumnName(c);
    }
    if (names.empty()) return;
    list_.guesses.push_back("no sizes found; these columns hold numbers: " + names);
    list_.unsized_columns = std::move(names);
  }

  // Numbers above zero that no word of the header explains, and that count no rows.
  bool HoldsSizes(std::size_t column) const {
    const PartQuantity quantity = meanings_[column].quantity;
    const bool lone = quantity == PartQuantity::kWidth || quantity == PartQuantity::kHeight ||
                      quantity == PartQuantity::kLength;
    if (quantity != PartQuantity::kNone && !lone) return false;
    if (table_.decimals[column] == '?') return false;
    bool counts_up = table_.rows.size() > 1;
    double last = 0;
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const auto number = TryQuantity(row, column);
      if (!number || !(number->value > 0)) return false;
      counts_up &= row == 0 || number->value == last + 1;
      last = number->value;
    }
    return !counts_up;
  }

  void TellColumns() {
    using enum PartQuantity;
    std::vector<std::size_t> used;
    for (const PartQuantity quantity :
         {kRef, kX, kY, kSide, kRotation, kPackage, kLength, kWidth, kHeight}) {
      if (const Index column = Find(quantity)) used.push_back(*column);
    }
    list_.columns = WrittenPartColumns(table_, used, meanings_);
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

  LooseTable table_;
  const PlacementOptions& options_;
  std::vector<PartMeaning> meanings_;
  std::vector<LengthColumn> lengths_;
  Index side_;
  bool empty_is_top_ = false;
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
  return ListReader(ReadLooseTable(bytes, name, form), options).Read();
}

}  // namespace ohmglow
