// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/regions.h"

#include <map>
#include <string>

#include "csv_table.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr std::size_t kMostRegions = 1000;
constexpr std::size_t kMostNameBytes = 100;

double Size(const CsvTable& table, std::size_t row, std::size_t column) {
  const double value = table.Number(row, column);
  if (value <= 0) {
    table.Fail(row, column, FormatNumber(value) + " is no size; it must be above 0");
  }
  return value;
}

// Lines of the names read so far.
using LineOfName = std::map<std::string, int>;

std::string NewName(const CsvTable& table, std::size_t row, std::size_t column, LineOfName& known) {
  std::string name = table.Text(row, column);
  if (name.empty()) table.Fail(row, column, "is empty; give the region a name");
  if (name.size() > kMostNameBytes) {
    table.Fail(row, column, Quoted(name) + " is too long; use at most 100 bytes");
  }
  const auto [entry, is_new] = known.try_emplace(name, table.Line(row));
  if (!is_new) {
    table.Fail(row,
               column,
               Quoted(name) + " stands in row " + std::to_string(entry->second) +
                   " already; give each region a name of its own");
  }
  return name;
}

}  // namespace

std::vector<Region> LoadRegions(const std::filesystem::path& file) {
  const CsvTable table(file, "--regions");
  const std::size_t name = table.Column("name");
  const std::size_t x = table.Column("x_mm");
  const std::size_t y = table.Column("y_mm");
  const std::size_t width = table.Column("width_mm");
  const std::size_t height = table.Column("height_mm");
  if (table.size() == 0 || table.size() > kMostRegions) {
    throw InputError(file.string() + ": has " + std::to_string(table.size()) +
                     " regions; give 1 to " + std::to_string(kMostRegions) + ", one a row");
  }
  LineOfName known;
  std::vector<Region> regions;
  for (std::size_t row = 0; row < table.size(); ++row) {
    Region region;
    region.name = NewName(table, row, name, known);
    region.center_mm = {table.Number(row, x), table.Number(row, y)};
    region.width_mm = Size(table, row, width);
    region.height_mm = Size(table, row, height);
    regions.push_back(std::move(region));
  }
  return regions;
}

}  // namespace ohmglow
