// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "surface_regions.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>
#include <sstream>
#include <utility>

#include "csv_table.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say_clauses.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr std::size_t kMostRegions = 1000;

bool IsEmissivity(double value) { return value > 0 && value <= 1; }

// Columns of a rectangle: its middle, then its size.
using Names = std::array<const char*, 4>;
constexpr Names kInFrame{"frame_x", "frame_y", "width_px", "height_px"};
constexpr Names kOnBoard{"x_mm", "y_mm", "width_mm", "height_mm"};
using Columns = std::array<std::size_t, 4>;

// A set of columns, where the table has any of them: then it must have all.
std::optional<Columns> Find(const CsvTable& table, const Names& names) {
  const bool any = std::any_of(names.begin(), names.end(), [&](const char* name) {
    return table.OptionalColumn(name).has_value();
  });
  if (!any) return std::nullopt;
  Columns columns{};
  std::transform(names.begin(), names.end(), columns.begin(), [&](const char* name) {
    return table.Column(name);
  });
  return columns;
}

bool Fills(const CsvTable& table, std::size_t row, const std::optional<Columns>& columns) {
  return columns && std::any_of(columns->begin(), columns->end(), [&](std::size_t column) {
           return !table.Text(row, column).empty();
         });
}

double Size(const CsvTable& table, std::size_t row, std::size_t column) {
  const double value = table.Number(row, column);
  if (value <= 0) {
    table.Fail(row, column, FormatNumber(value) + " is no size; it must be above 0");
  }
  return value;
}

// The parts that a word means: by name, else by kind.
std::vector<const Part*> Meant(const std::string& word,
                               const std::vector<Part>& parts,
                               BoardSide side) {
  std::vector<const Part*> named;
  std::vector<const Part*> of_kind;
  for (const Part& part : parts) {
    if (part.side != side) continue;
    if (ToLower(part.ref) == word) named.push_back(&part);
    if (ToLower(part.kind) == word) of_kind.push_back(&part);
  }
  return named.empty() ? of_kind : named;
}

// One of "can 0.3, SH2 0.15".
std::pair<std::string, double> ReadPair(const std::string& item, const std::string& where) {
  std::istringstream words(item);
  std::string word;
  std::string number;
  std::string rest;
  words >> word >> number >> rest;
  const auto value = ParseNumber(number);
  if (!value || !IsEmissivity(*value) || !rest.empty()) {
    throw InputError(
        where + ": " + Quoted(item) +
        " is not a kind or name and its emissivity in (0, 1]; a blank parts the two, a "
        "comma the entries, decimals take a point: write it like can 0.3, SH2 0.15");
  }
  return {word, *value};
}

// Kinds of the parts in view, for a message.
std::string KindsOf(const std::vector<Part>& parts, BoardSide side) {
  std::set<std::string> kinds;
  for (const Part& part : parts) {
    if (part.side == side && !part.kind.empty()) kinds.insert(ToLower(part.kind));
  }
  std::string text;
  for (const std::string& kind : kinds) text += (text.empty() ? "" : ", ") + kind;
  return text.empty() ? "the list gives none" : "the list has " + text;
}

// A word that no part in view answers to.
[[noreturn]] void FailNobody(const std::string& word,
                             const std::string& where,
                             const std::vector<Part>& parts,
                             BoardSide side) {
  const bool from_top = side == BoardSide::kTop;
  const BoardSide other = from_top ? BoardSide::kBottom : BoardSide::kTop;
  if (!Meant(ToLower(word), parts, other).empty()) {
    const std::string there = from_top ? "bottom" : "top";
    const std::string here = from_top ? "top" : "bottom";
    throw InputError(where + ": " + Quoted(word) + " is on the " + there +
                     ", and the frames show the " + here +
                     "; remove it here, or set side = " + there + " in [board]");
  }
  throw InputError(where + ": " + Quoted(word) +
                   " is neither name nor kind of a part on the side in view; of kinds " +
                   KindsOf(parts, side));
}

constexpr std::size_t kMostNames = 6;

// The least and the greatest emissivity.
std::pair<double, double> Span(const std::vector<SurfaceRegion>& regions) {
  std::pair<double, double> span(1, 0);
  for (const SurfaceRegion& region : regions) {
    span = {std::min(span.first, region.emissivity), std::max(span.second, region.emissivity)};
  }
  return span;
}

// "U3, SH2 and 4 more"; empty where none has a name.
std::vector<Remark> NamesOf(const std::vector<SurfaceRegion>& regions) {
  std::vector<Remark> names;
  for (const SurfaceRegion& region : regions) {
    if (region.name.empty() || names.size() == kMostNames) continue;
    names.push_back(Remark::Quoted(region.name));
  }
  if (names.empty() || names.size() == regions.size()) return names;
  const auto more = static_cast<double>(regions.size() - names.size());
  names.push_back(Remark(RemarkKind::kAndMore).With("count", more));
  return names;
}

}  // namespace

std::vector<SurfaceRegion> ReadSurfaceRegions(const std::filesystem::path& file,
                                              std::string_view named_by) {
  const CsvTable table(file, named_by);
  const auto in_frame = Find(table, kInFrame);
  const auto on_board = Find(table, kOnBoard);
  if (!in_frame && !on_board) {
    throw InputError(file.string() +
                     ", row 1: tells no places; give the columns frame_x,frame_y,width_px,"
                     "height_px or x_mm,y_mm,width_mm,height_mm");
  }
  const std::size_t emissivity = table.Column("emissivity");
  const auto name = table.OptionalColumn("name");
  if (table.size() > kMostRegions) {
    throw InputError(file.string() + ": has " + std::to_string(table.size()) +
                     " regions; give at most " + std::to_string(kMostRegions));
  }
  std::vector<SurfaceRegion> regions;
  for (std::size_t row = 0; row < table.size(); ++row) {
    SurfaceRegion region;
    region.on_board = Fills(table, row, on_board);
    if (region.on_board && Fills(table, row, in_frame)) {
      table.Fail(row, (*in_frame)[0], "stands beside x_mm; give pixels or millimetres, not both");
    }
    const Columns& at = region.on_board || !in_frame ? *on_board : *in_frame;
    region.center = {table.Number(row, at[0]), table.Number(row, at[1])};
    region.width = Size(table, row, at[2]);
    region.height = Size(table, row, at[3]);
    region.emissivity = table.Number(row, emissivity);
    if (!IsEmissivity(region.emissivity)) {
      table.Fail(row, emissivity, FormatNumber(region.emissivity) + " must lie in (0, 1]");
    }
    if (name) region.name = table.Text(row, *name);
    regions.push_back(std::move(region));
  }
  return regions;
}

std::vector<SurfaceRegion> SurfacesOfParts(const std::string& text,
                                           const std::string& where,
                                           const std::vector<Part>& parts,
                                           BoardSide side) {
  std::map<const Part*, double> by_name;
  std::map<const Part*, double> by_kind;
  std::istringstream items(text);
  for (std::string item; std::getline(items, item, ',');) {
    const auto [word, emissivity] = ReadPair(item, where);
    const std::vector<const Part*> meant = Meant(ToLower(word), parts, side);
    if (meant.empty()) FailNobody(word, where, parts, side);
    const bool sized = std::any_of(meant.begin(), meant.end(), [](const Part* part) {
      return part->width_mm > 0 && part->height_mm > 0;
    });
    if (!sized) {
      throw InputError(where + ": the list gives no size of " + Quoted(word) +
                       "; give its outline in surface.regions");
    }
    const bool is_name = ToLower(meant.front()->ref) == ToLower(word);
    for (const Part* part : meant) (is_name ? by_name : by_kind)[part] = emissivity;
  }
  by_name.merge(by_kind);
  std::vector<SurfaceRegion> regions;
  for (const Part& part : parts) {
    const auto found = by_name.find(&part);
    if (found == by_name.end() || !(part.width_mm > 0 && part.height_mm > 0)) continue;
    regions.push_back(
        {part.ref, true, part.center_mm, part.width_mm, part.height_mm, found->second});
  }
  return regions;
}

std::vector<Clause> ListSurfaces(const std::vector<SurfaceRegion>& regions) {
  const auto [low, high] = Span(regions);
  std::vector<Clause> said{
      {"file.surfaces", Remark().With("count", static_cast<double>(regions.size()))},
      {low < high ? "file.surfaces_range" : "file.surfaces_value",
       Remark().With("low", low).With("high", high)}};
  std::vector<Remark> names = NamesOf(regions);
  if (!names.empty())
    said.push_back({"file.surfaces_names", Remark().With("names", std::move(names))});
  return said;
}

std::string DescribeSurfaces(const std::vector<SurfaceRegion>& regions) {
  return SayClauses(ListSurfaces(regions));
}

Remark TellSurfaces(const std::vector<SurfaceRegion>& regions) {
  const auto [low, high] = Span(regions);
  std::vector<Remark> names = NamesOf(regions);
  if (names.empty()) names.emplace_back(RemarkKind::kPlacesGiven);
  Remark values = low < high ? Remark(RemarkKind::kSpan).With("least", low).With("most", high)
                             : Remark(RemarkKind::kOneValue).With("value", low);
  return Remark(RemarkKind::kWattsByEmissivity)
      .With("values", std::move(values))
      .With("places", std::move(names));
}

}  // namespace ohmglow
