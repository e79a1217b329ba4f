// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "survey/table_kind.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>
#include <map>
#include <optional>
#include <vector>

#include "input/log_columns.h"
#include "input/loose_number.h"
#include "input/loose_table.h"
#include "input/number_rows.h"
#include "input/part_words.h"
#include "input/text.h"
#include "input/unit_words.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

constexpr std::size_t kMostSteps = 41;       // Noted by hand.
constexpr std::size_t kPictureColumns = 24;  // As many pixels as the smallest frame has a side.
constexpr double kMostly = 0.6;
constexpr double kLeastChange = 0.02;  // Of the span of all currents noted by hand.

constexpr std::array<std::string_view, 21> kOwnNames{
    "frame_x",   "frame_y",  "photo_x",  "photo_y",   "board_x_mm", "board_y_mm", "index",
    "time_s",    "within_s", "name",     "ref",       "x_mm",       "y_mm",       "width_mm",
    "height_mm", "side",     "width_px", "height_px", "emissivity", "designator", "amps"};

bool Knows(std::string_view cell) {
  const std::string folded = Fold(cell);
  return std::find(kOwnNames.begin(), kOwnNames.end(), folded) != kOwnNames.end() ||
         KnowsLogHeader(cell) || KnowsPartHeader(cell);
}

// A number with a decimal point or comma, and perhaps a unit of length behind it.
bool LooksLikeNumber(std::string_view cell) {
  std::string text(cell);
  std::replace(text.begin(), text.end(), ',', '.');
  const std::size_t unit = text.find_last_of("0123456789.") + 1;
  if (unit < text.size()) {
    const std::optional<Unit> known = ParseUnit(Trim(std::string_view(text).substr(unit)));
    if (!known || known->dimension != Dimension::kLength) return false;
  }
  return ParseNumber(text.substr(0, unit)).has_value();
}

// A sentence may have a word of a log's header in it; a reading begins like a number.
bool BeginsLikeNumber(std::string_view cell) {
  const std::string_view text = Trim(cell);
  const std::size_t digit = text.find_first_of("0123456789");
  return digit != std::string_view::npos &&
         text.substr(0, digit).find_first_not_of("+-.,\"' ") == std::string_view::npos;
}

Clause HasColumns(const char* first, const char* second) {
  return {"survey.columns", Remark().With("first", first).With("second", second)};
}

Clause HoldsNumbers(std::size_t count) {
  return {"survey.numbers", Remark().With("count", static_cast<double>(count))};
}

Clause Named(const char* key, const std::string& name) {
  return {key, Remark().With("name", Quoted(name))};
}

class Reader {
 public:
  explicit Reader(const LooseTable& table) : table_(table) {
    for (const std::string& cell : table.header) names_.push_back(Fold(cell));
  }

  [[nodiscard]] TableGuess Guess() const {
    if (Has({"frame_x", "frame_y", "photo_x", "photo_y"})) {
      return {TableKind::kPoints, HasColumns("frame_x", "photo_x")};
    }
    if (Has({"emissivity"}) && (Has({"frame_x", "width_px"}) || Has({"x_mm", "width_mm"}))) {
      return {TableKind::kSurface, {"survey.emissivity_column"}};
    }
    if (Has({"frame_x", "frame_y", "name"})) {
      return {TableKind::kContacts, HasColumns("frame_x", "name")};
    }
    const TableGuess supply = GuessSupply();
    if (supply.kind != TableKind::kNone) return supply;
    if (Has({"index", "time_s"})) {
      return {TableKind::kTimes, HasColumns("index", "time_s")};
    }
    if (IsPartsList()) return {TableKind::kParts, {"survey.parts_and_places"}};
    if (table_.columns() >= kPictureColumns && Share(&LooksLikeNumber, 0) > kMostly) {
      return {TableKind::kFrames, HoldsNumbers(table_.columns())};
    }
    return {};
  }

 private:
  [[nodiscard]] bool Has(std::initializer_list<std::string_view> wanted) const {
    return std::all_of(wanted.begin(), wanted.end(), [&](std::string_view name) {
      return std::find(names_.begin(), names_.end(), name) != names_.end();
    });
  }

  // Of the cells that are not empty.
  [[nodiscard]] double Share(bool (*is)(std::string_view), std::size_t column) const {
    double cells = 0;
    double hits = 0;
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const std::string_view cell = table_.Cell(row, column);
      if (cell.empty()) continue;
      ++cells;
      hits += is(cell) ? 1 : 0;
    }
    return cells > 0 ? hits / cells : 0;
  }

  [[nodiscard]] bool IsPartsList() const {
    bool has_names = false;
    int numbers = 0;
    for (std::size_t column = 0; column < table_.columns(); ++column) {
      if (Share(&LooksLikeRef, column) > kMostly) {
        has_names = true;
      } else if (Share(&LooksLikeNumber, column) > kMostly) {
        ++numbers;
      }
    }
    return has_names && numbers >= 2;
  }

  [[nodiscard]] std::optional<std::size_t> Column(LogQuantity quantity) const {
    for (std::size_t column = 0; column < table_.header.size(); ++column) {
      if (Share(&BeginsLikeNumber, column) < kMostly) continue;
      const std::string unit = column < table_.units.size() ? table_.units[column] : std::string();
      if (ReadLogHeader(table_.header[column], unit).quantity == quantity) return column;
    }
    return std::nullopt;
  }

  // Each row another current: nobody's log, but what somebody wrote down. The last digit of a
  // measured current changes from row to row as well, but by next to nothing.
  [[nodiscard]] bool AllDiffer(std::size_t column) const {
    if (table_.rows.size() > kMostSteps) return false;
    std::vector<double> values;
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const auto value = ParseQuantity(table_.Cell(row, column), '.');
      if (!value) return false;
      values.push_back(value->value);
    }
    const auto [low, high] = std::minmax_element(values.begin(), values.end());
    const double least = kLeastChange * (*high - *low);
    return std::adjacent_find(values.begin(), values.end(), [&](double a, double b) {
             return std::abs(a - b) <= least;
           }) == values.end();
  }

  [[nodiscard]] TableGuess GuessSupply() const {
    if (table_.rows.size() < 2) return {};  // No step.
    const auto amps = Column(LogQuantity::kAmps);
    const auto watts = Column(LogQuantity::kWatts);
    const auto volts = Column(LogQuantity::kVolts);
    const bool timed = Column(LogQuantity::kTime).has_value();
    // With times by somebody's watch it is a log: steps are in the frames' times.
    if (Has({"within_s", "amps"}) ||
        (Has({"amps"}) && !volts && !timed && amps && AllDiffer(*amps))) {
      return {TableKind::kSteps, {"survey.currents"}};
    }
    if (amps) return {TableKind::kLog, Named("survey.amps_column", table_.header[*amps])};
    if (watts && !IsPartsList()) {
      return {TableKind::kLog, Named("survey.watts_column", table_.header[*watts])};
    }
    // Without a header: a time that rises and one to four values beside it.
    const bool few = table_.columns() >= 2 && table_.columns() <= 5;
    if (table_.header.empty() && few && table_.rows.size() >= 8) {
      for (std::size_t column = 1; column < table_.columns(); ++column) {
        if (Share(&LooksLikeNumber, column) < kMostly) return {};
      }
      return {TableKind::kLog, {"survey.no_header"}};
    }
    return {};
  }

  const LooseTable& table_;
  std::vector<std::string> names_;
};

// Rows of numbers as wide as a picture, whatever stands between them.
TableGuess GuessFrames(std::string_view bytes) {
  std::map<int, int> rows;  // By their width.
  int all = 0;
  while (!bytes.empty()) {
    const std::string_view line = bytes.substr(0, bytes.find('\n'));
    bytes.remove_prefix(std::min(line.size() + 1, bytes.size()));
    if (Trim(line).empty()) continue;
    ++all;
    const int width = ReadNumbers(line, TellStyle(line), nullptr, 0);
    if (width >= static_cast<int>(kPictureColumns)) ++rows[width];
  }
  for (const auto& [width, count] : rows) {
    if (count < kMostly * all) continue;
    return {TableKind::kFrames, HoldsNumbers(static_cast<std::size_t>(width))};
  }
  return {};
}

}  // namespace

TableGuess GuessTable(std::string_view bytes) {
  if (TableGuess frames = GuessFrames(bytes); frames.kind != TableKind::kNone) return frames;
  try {
    LooseOptions options;
    options.knows = &Knows;
    const LooseTable table = ReadLooseTable(bytes, "table", options);
    return Reader(table).Guess();
  } catch (const InputError&) {
    return {};  // Whatever it is, it is no table of ours.
  }
}

}  // namespace ohmglow
