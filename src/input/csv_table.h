// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow {

/// A table of our own column names, separated by commas (RFC 4180: double
/// quotes may enclose a cell, "" inside them is one quote; CRLF or LF) or, where
/// its header has no comma, by semicolons, tabs, bars or blanks, then also with
/// decimal commas. Columns are found by name in any order, blank rows are
/// skipped. Errors count rows as lines of the file from 1.
class CsvTable {
 public:
  /// @throws InputError  unreadable, empty, no header, a quote left open.
  CsvTable(std::filesystem::path file, std::string_view named_by);

  [[nodiscard]] std::size_t size() const { return rows_.size(); }
  /// Index of a column that must be there. @throws InputError  naming the header's columns.
  [[nodiscard]] std::size_t Column(std::string_view name) const;
  [[nodiscard]] std::optional<std::size_t> OptionalColumn(std::string_view name) const;
  /// The cell without blanks at its ends; empty where the row is short.
  [[nodiscard]] std::string Text(std::size_t row, std::size_t column) const;
  /// A finite number. @throws InputError  naming row and column.
  [[nodiscard]] double Number(std::size_t row, std::size_t column) const;
  /// The line of the file on which the row starts.
  [[nodiscard]] int Line(std::size_t row) const { return rows_[row].line; }
  [[nodiscard]] const std::filesystem::path& file() const { return file_; }
  /// Throws InputError "file, row N, column NAME: what".
  [[noreturn]] void Fail(std::size_t row, std::size_t column, const std::string& what) const;

 private:
  struct Row {
    int line = 0;
    std::vector<std::string> cells;
  };
  void TakeHeader(Row header);
  void CheckLength(const Row& row) const;
  void FindDecimalComma();
  bool IsDelimiter(char c) const;
  [[noreturn]] void FailLine(int line, const std::string& what) const;
  std::vector<Row> Split(const std::string& text) const;
  /// Appends one cell; leaves `at` on the separator, line end or end of text.
  void SplitCell(const std::string& text, std::size_t& at, int& line, Row& row) const;

  std::filesystem::path file_;
  char delimiter_ = ',';
  bool decimal_comma_ = false;  // Some number can be read in no other way.
  std::vector<std::string> names_;
  std::vector<Row> rows_;
};

}  // namespace ohmglow
