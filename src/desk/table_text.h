// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::desk {

/// A table's text that can be changed cell by cell; what is not touched stays as it was:
/// columns of other names, their order, quotes, line ends. Understands what our own tables
/// may be: separated by commas (RFC 4180) or, where the header has none, by semicolons or
/// tabs, then also with decimal commas.
class TableText {
 public:
  /// @param text     may be empty: then a table with `columns`.
  /// @param columns  those that must be there; missing ones are added at the right.
  /// @throws DataError  a text of two bytes a letter.
  TableText(std::string_view text, const std::vector<std::string>& columns);

  [[nodiscard]] std::size_t size() const { return rows_.size(); }
  [[nodiscard]] bool Has(std::string_view column) const;
  /// A cell's text, without quotes and blanks around it; empty where there is none.
  [[nodiscard]] std::string Cell(std::size_t row, std::string_view column) const;
  void Set(std::size_t row, std::string_view column, std::string_view value);
  /// Leaves the cell alone where it holds this number already, however written.
  /// @param digits  behind the point.
  void SetNumber(std::size_t row, std::string_view column, double value, int digits = 2);
  /// @return  the new row, empty.
  std::size_t Append();
  void Remove(std::size_t row);
  /// Keeps these rows alone, in this order.
  void Keep(const std::vector<std::size_t>& rows);
  [[nodiscard]] std::string Text() const;

 private:
  using Row = std::vector<std::string>;  // As written, quotes and all.
  [[nodiscard]] Row Split(std::string_view line) const;
  [[nodiscard]] std::size_t Column(std::string_view name) const;

  std::string start_;  // A byte order mark, where there is one.
  char separator_ = ',';
  bool decimal_comma_ = false;
  std::string line_end_ = "\n";
  Row header_;
  std::vector<Row> rows_;
};

}  // namespace ohmglow::desk
