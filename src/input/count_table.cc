// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "count_table.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include "csv_table.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/radiometry.h"
#include "text.h"

namespace ohmglow {
namespace {

// Slope at a row between intervals of widths h0, h1 and mean slopes d0, d1.
double MiddleSlope(double h0, double d0, double h1, double d1) {
  const double w0 = h0 + 2 * h1;
  const double w1 = 2 * h0 + h1;
  return (w0 + w1) / (w0 / d1 + w1 / d0);
}

// Slope at the first row: a parabola's, as far as that does not turn back.
double EndSlope(double h0, double d0, double h1, double d1) {
  const double slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
  if (slope * d0 <= 0) return 0;
  return std::abs(slope) > 3 * std::abs(d0) ? 3 * d0 : slope;
}

void RequireOneWay(const CsvTable& table, std::size_t column, const std::vector<double>& kelvin) {
  const bool rises = kelvin[1] > kelvin[0];
  for (std::size_t row = 1; row < kelvin.size(); ++row) {
    if (kelvin[row] != kelvin[row - 1] && (kelvin[row] > kelvin[row - 1]) == rises) continue;
    table.Fail(row,
               column,
               Quoted(table.Text(row, column)) +
                   " stops or turns back; temperatures must rise, or fall, from row to row, or a "
                   "count has two of them");
  }
}

}  // namespace

CountTable::CountTable(std::vector<double> counts, std::vector<double> kelvin)
    : counts_(std::move(counts)), kelvin_(std::move(kelvin)), slopes_(counts_.size()) {
  const std::size_t last = counts_.size() - 1;
  std::vector<double> widths, means;
  for (std::size_t i = 0; i < last; ++i) {
    widths.push_back(counts_[i + 1] - counts_[i]);
    means.push_back((kelvin_[i + 1] - kelvin_[i]) / widths[i]);
  }
  if (last == 1) {
    slopes_ = {means[0], means[0]};
    return;
  }
  for (std::size_t i = 1; i < last; ++i) {
    slopes_[i] = MiddleSlope(widths[i - 1], means[i - 1], widths[i], means[i]);
  }
  slopes_[0] = EndSlope(widths[0], means[0], widths[1], means[1]);
  slopes_[last] = EndSlope(widths[last - 1], means[last - 1], widths[last - 2], means[last - 2]);
}

double CountTable::Kelvin(double count) const {
  if (!(count >= lowest() && count <= highest())) return std::numeric_limits<double>::quiet_NaN();
  const auto above = std::upper_bound(counts_.begin() + 1, counts_.end() - 1, count);
  const auto i = static_cast<std::size_t>(above - counts_.begin()) - 1;
  const double h = counts_[i + 1] - counts_[i];
  const double t = (count - counts_[i]) / h;
  const double s = 1 - t;
  return s * s * ((1 + 2 * t) * kelvin_[i] + t * h * slopes_[i]) +
         t * t * ((1 + 2 * s) * kelvin_[i + 1] - s * h * slopes_[i + 1]);
}

CountTable ReadCountTable(const std::filesystem::path& file, std::string_view named_by) {
  const CsvTable table(file, named_by);
  const std::size_t count = table.Column("count");
  const auto celsius = table.OptionalColumn("celsius");
  const std::size_t column = celsius ? *celsius : table.Column("kelvin");
  if (table.size() < 2) {
    throw InputError(file.string() + ": has " + std::to_string(table.size()) +
                     " rows; give two or more counts with their temperatures");
  }
  std::vector<double> counts, kelvin;
  for (std::size_t row = 0; row < table.size(); ++row) {
    counts.push_back(table.Number(row, count));
    kelvin.push_back(table.Number(row, column) + (celsius ? kZeroCelsiusK : 0));
    if (row > 0 && counts[row] <= counts[row - 1]) {
      table.Fail(row,
                 count,
                 Quoted(table.Text(row, count)) +
                     " is not above the row before; counts must rise from row to row");
    }
  }
  RequireOneWay(table, column, kelvin);
  return {std::move(counts), std::move(kelvin)};
}

}  // namespace ohmglow
