// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/table_text.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>

#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

std::string Bare(std::string_view cell) {
  cell = Trim(cell);
  if (cell.size() < 2 || cell.front() != '"' || cell.back() != '"') return std::string(cell);
  std::string out;
  cell = cell.substr(1, cell.size() - 2);
  for (std::size_t i = 0; i < cell.size(); ++i) {
    out += cell[i];
    if (cell[i] == '"') ++i;  // Two of them stand for one.
  }
  return out;
}

// The end of a row: a line break outside quotes.
std::size_t RowEnd(std::string_view text) {
  bool quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '"') quoted = !quoted;
    if (text[i] == '\n' && !quoted) return i;
  }
  return text.size();
}

bool HasDecimalComma(const std::string& cell) {
  const std::size_t comma = cell.find(',');
  if (comma == std::string::npos || cell.find(',', comma + 1) != std::string::npos) return false;
  std::string point = cell;
  point[comma] = '.';
  return ParseNumber(point).has_value();
}

}  // namespace

TableText::TableText(std::string_view text, const std::vector<std::string>& columns) {
  if (text.find('\0') != std::string_view::npos) {
    throw DataError("the table is not written in UTF-8; save it so, then it can be changed here");
  }
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  if (text.starts_with(kByteOrderMark)) {
    start_ = kByteOrderMark;
    text.remove_prefix(kByteOrderMark.size());
  }
  if (text.find("\r\n") != std::string_view::npos) line_end_ = "\r\n";
  const std::string_view first = text.substr(0, RowEnd(text));
  if (first.find(',') == std::string_view::npos) {
    if (first.find(';') != std::string_view::npos) separator_ = ';';
    if (first.find('\t') != std::string_view::npos) separator_ = '\t';
  }
  while (!text.empty()) {
    const std::size_t end = RowEnd(text);
    std::string_view line = text.substr(0, end);
    if (line.ends_with('\r')) line.remove_suffix(1);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (Trim(line).empty()) continue;
    if (header_.empty()) {
      header_ = Split(line);
    } else {
      Row row = Split(line);
      // As the reader of tables has it: a row of empty cells is none.
      const bool says =
          std::any_of(row.begin(), row.end(), [](const auto& cell) { return !Bare(cell).empty(); });
      if (says) rows_.push_back(std::move(row));
    }
  }
  if (separator_ != ',') {
    decimal_comma_ = std::any_of(rows_.begin(), rows_.end(), [](const Row& row) {
      return std::any_of(row.begin(), row.end(), HasDecimalComma);
    });
  }
  for (const std::string& name : columns) {
    if (!Has(name)) header_.push_back(name);
  }
}

bool TableText::Has(std::string_view column) const {
  return std::any_of(
      header_.begin(), header_.end(), [&](const auto& own) { return Bare(own) == column; });
}

TableText::Row TableText::Split(std::string_view line) const {
  Row row(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    if (c == separator_ && !quoted) {
      row.emplace_back();
    } else {
      row.back() += c;
    }
  }
  return row;
}

std::size_t TableText::Column(std::string_view name) const {
  for (std::size_t i = 0; i < header_.size(); ++i) {
    if (Bare(header_[i]) == name) return i;
  }
  throw DataError("the table has no column " + std::string(name));
}

std::string TableText::Cell(std::size_t row, std::string_view column) const {
  const std::size_t at = Column(column);
  return at < rows_.at(row).size() ? Bare(rows_[row][at]) : std::string();
}

void TableText::Set(std::size_t row, std::string_view column, std::string_view value) {
  const std::size_t at = Column(column);
  Row& cells = rows_.at(row);
  if (cells.size() <= at) cells.resize(at + 1);
  std::string text(value);
  const bool plain = text.find_first_of(std::string("\"\r\n") + separator_) == std::string::npos;
  if (!plain) {
    std::string quoted = "\"";
    for (const char c : text) quoted += c == '"' ? "\"\"" : std::string(1, c);
    text = quoted + "\"";
  }
  cells[at] = std::move(text);
}

void TableText::SetNumber(std::size_t row, std::string_view column, double value, int digits) {
  std::string there = Cell(row, column);
  if (decimal_comma_) std::replace(there.begin(), there.end(), ',', '.');
  const auto number = ParseNumber(there);
  const double half_step = 0.5 * std::pow(10.0, -digits);
  if (number && std::abs(*number - value) < half_step) return;
  char text[64];
  std::snprintf(text, sizeof text, "%.*f", digits, value);
  std::string written = text;
  if (decimal_comma_) std::replace(written.begin(), written.end(), '.', ',');
  Set(row, column, written);
}

std::size_t TableText::Append() {
  rows_.emplace_back(header_.size());
  return rows_.size() - 1;
}

void TableText::Remove(std::size_t row) {
  rows_.erase(rows_.begin() + static_cast<std::ptrdiff_t>(row));
}

void TableText::Keep(const std::vector<std::size_t>& rows) {
  std::vector<Row> kept;
  for (const std::size_t row : rows) kept.push_back(rows_.at(row));
  rows_ = std::move(kept);
}

std::string TableText::Text() const {
  std::string text = start_;
  const auto add = [&](const Row& row) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (i > 0) text += separator_;
      text += row[i];
    }
    text += line_end_;
  };
  add(header_);
  for (const Row& row : rows_) add(row);
  return text;
}

}  // namespace ohmglow::desk
