// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "csv_table.h"

#include <algorithm>
#include <utility>

#include "loose_number.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

bool AtLineEnd(const std::string& text, std::size_t at) {
  return at >= text.size() || text[at] == '\n' || text[at] == '\r';
}

// Steps over LF, CRLF or CR.
void SkipLineEnd(const std::string& text, std::size_t& at, int& line) {
  if (at >= text.size()) return;
  at += text.compare(at, 2, "\r\n") == 0 ? 2 : 1;
  ++line;
}

bool IsBlank(const std::vector<std::string>& cells) {
  return std::all_of(
      cells.begin(), cells.end(), [](const std::string& cell) { return Trim(cell).empty(); });
}

std::string Join(const std::vector<std::string>& names) {
  std::string all;
  for (const std::string& name : names) all += (all.empty() ? "" : ", ") + name;
  return all;
}

// The separator that the header shows; commas go before all others.
char DelimiterOf(const std::string& text) {
  const std::size_t begin = std::min(text.find_first_not_of(" \t\r\n"), text.size());
  const std::size_t end = std::min(text.find_first_of("\r\n", begin), text.size());
  const std::string_view header = Trim(std::string_view(text).substr(begin, end - begin));
  for (const char delimiter : {',', ';', '\t', '|', ' '}) {
    if (header.find(delimiter) != std::string_view::npos) return delimiter;
  }
  return ',';
}

}  // namespace

CsvTable::CsvTable(std::filesystem::path file, std::string_view named_by) : file_(std::move(file)) {
  const std::string text = ReadTextFile(file_, named_by);
  delimiter_ = DelimiterOf(text);
  rows_ = Split(text);
  if (rows_.empty()) {
    throw InputError(file_.string() + ": is empty; it needs a header row and data rows");
  }
  TakeHeader(std::move(rows_.front()));
  rows_.erase(rows_.begin());
  for (const Row& row : rows_) CheckLength(row);
  if (delimiter_ != ',') FindDecimalComma();
}

std::size_t CsvTable::Column(std::string_view name) const {
  if (const auto column = OptionalColumn(name)) return *column;
  throw InputError(file_.string() + ", row 1: column " + std::string(name) +
                   " is missing; the header has " + OneLine(Join(names_)));
}

std::optional<std::size_t> CsvTable::OptionalColumn(std::string_view name) const {
  const auto found = std::find(names_.begin(), names_.end(), name);
  if (found == names_.end()) return std::nullopt;
  return static_cast<std::size_t>(found - names_.begin());
}

std::string CsvTable::Text(std::size_t row, std::size_t column) const {
  const std::vector<std::string>& cells = rows_[row].cells;
  return column < cells.size() ? std::string(Trim(cells[column])) : std::string();
}

double CsvTable::Number(std::size_t row, std::size_t column) const {
  const std::string text = Text(row, column);
  if (text.empty()) Fail(row, column, "is empty; give a number");
  auto value = ParseNumber(text);
  if (!value && delimiter_ != ',') {
    if (HintOf(text) == DecimalHint::kEitherComma && !decimal_comma_) {
      Fail(row,
           column,
           Quoted(text) + " has a decimal comma or thousands; write decimals with a point");
    }
    value = LooseNumber(text, ',');
  }
  if (!value) Fail(row, column, Quoted(text) + " is not a finite number; write it like -12.5");
  return *value;
}

void CsvTable::Fail(std::size_t row, std::size_t column, const std::string& what) const {
  throw InputError(file_.string() + ", row " + std::to_string(Line(row)) + ", column " +
                   names_[column] + ": " + what);
}

void CsvTable::TakeHeader(Row header) {
  for (const std::string& cell : header.cells) {
    std::string name = ToLower(Trim(cell));
    if (!name.empty() && OptionalColumn(name)) {
      FailLine(header.line, "column " + name + " stands twice in the header; keep one");
    }
    names_.push_back(std::move(name));
  }
}

void CsvTable::FindDecimalComma() {
  decimal_comma_ = std::any_of(rows_.begin(), rows_.end(), [](const Row& row) {
    return std::any_of(row.cells.begin(), row.cells.end(), [](const std::string& cell) {
      return HintOf(cell) == DecimalHint::kComma;
    });
  });
}

bool CsvTable::IsDelimiter(char c) const {
  return c == delimiter_ || (delimiter_ == ' ' && c == '\t');
}

void CsvTable::CheckLength(const Row& row) const {
  for (std::size_t i = names_.size(); i < row.cells.size(); ++i) {
    if (Trim(row.cells[i]).empty()) continue;
    FailLine(row.line,
             "has " + std::to_string(row.cells.size()) + " cells but the header " +
                 std::to_string(names_.size()) +
                 "; write decimals with a point and quote texts that hold a comma");
  }
}

void CsvTable::FailLine(int line, const std::string& what) const {
  throw InputError(file_.string() + ", row " + std::to_string(line) + ": " + what);
}

std::vector<CsvTable::Row> CsvTable::Split(const std::string& text) const {
  std::vector<Row> rows;
  std::size_t at = 0;
  int line = 1;
  while (at < text.size()) {
    Row row{line, {}};
    SplitCell(text, at, line, row);
    while (!AtLineEnd(text, at)) {
      ++at;  // The separator.
      SplitCell(text, at, line, row);
    }
    SkipLineEnd(text, at, line);
    if (!IsBlank(row.cells)) rows.push_back(std::move(row));
  }
  return rows;
}

void CsvTable::SplitCell(const std::string& text, std::size_t& at, int& line, Row& row) const {
  const auto is_blank = [&](char c) {
    return (c == ' ' || c == '\t') && (delimiter_ == ' ' || c != delimiter_);
  };
  while (at < text.size() && is_blank(text[at])) ++at;
  std::string cell;
  if (at >= text.size() || text[at] != '"') {
    const std::size_t begin = at;
    while (!AtLineEnd(text, at) && !IsDelimiter(text[at])) ++at;
    row.cells.push_back(text.substr(begin, at - begin));
    return;
  }
  const int first_line = line;
  for (++at; at < text.size(); ++at) {
    if (text[at] == '\n') ++line;
    if (text[at] != '"') {
      cell += text[at];
    } else if (text.compare(at, 2, "\"\"") == 0) {
      cell += text[at++];
    } else {
      break;
    }
  }
  if (at >= text.size()) FailLine(first_line, "a double quote is left open; close it");
  ++at;
  if (delimiter_ != ' ') {
    while (at < text.size() && is_blank(text[at])) ++at;
  }
  if (!AtLineEnd(text, at) && !IsDelimiter(text[at])) {
    FailLine(line, "text follows a closing quote; double the quotes inside a cell");
  }
  row.cells.push_back(std::move(cell));
}

}  // namespace ohmglow
