// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow {

/// One row of a table; cells have no blanks at their ends.
struct LooseRow {
  int line = 0;  ///< Of the file, from 1.
  std::vector<std::string> cells;
};

/// A table whose form was found out from its bytes.
struct LooseTable {
  std::string name;                 ///< What messages call it: its file.
  std::string encoding;             ///< Of the bytes, in iconv's words.
  char delimiter = ',';             ///< Comma, semicolon, tab, bar or blank (any number of them).
  std::vector<std::string> header;  ///< As written; empty where there is none.
  int header_line = 0;
  std::vector<std::string> units;  ///< The row of units below the header, or empty.
  std::vector<LooseRow> rows;      ///< Without blank rows, comments (#) and headers that repeat.
  /// Sign of the decimals for each column, '?' where 1,234 may be either.
  std::vector<char> decimals;
  std::string decimal_key;        ///< The setting that decides then.
  int lines_above = 0;            ///< Lines that are no table, above it.
  std::vector<int> header_again;  ///< Lines of the headers that repeat.

  [[nodiscard]] std::size_t columns() const { return decimals.size(); }
  /// Empty where the row is short.
  [[nodiscard]] std::string_view Cell(std::size_t row, std::size_t column) const;
  /// Point or comma. @throws InputError  where the column can be read both ways.
  [[nodiscard]] char Decimal(std::size_t column) const;
  /// "file, row 7, column Strom": the opening of a message.
  [[nodiscard]] std::string Where(std::size_t row, std::size_t column) const;
  /// The header's word, or "3" for the third column where there is none.
  [[nodiscard]] std::string ColumnName(std::size_t column) const;
  /// All of these in one line, for messages.
  [[nodiscard]] std::string ColumnNames() const;
};

struct LooseOptions {
  /// Whether a cell is a word of the header that the reader looks for; finds
  /// the header below other lines and settles delimiter and encoding.
  bool (*knows)(std::string_view cell) = nullptr;
  std::optional<char> delimiter = std::nullopt;  ///< Where the user says it.
  std::optional<char> decimal = std::nullopt;
  std::string delimiter_key = {};  ///< The settings that say so, for messages.
  std::string decimal_key = {};
};

/// Finds encoding, delimiter, decimal sign, header and units of a table. Pure:
/// any bytes give a table or one error.
/// @param name  the file, for messages.
/// @throws InputError  no text, no table, or two readings that are as good as
///         each other; names both and the setting that decides.
[[nodiscard]] LooseTable ReadLooseTable(std::string_view bytes,
                                        const std::string& name,
                                        const LooseOptions& options);

/// A column by its name (case and accents do not count) or its number from 1.
[[nodiscard]] std::optional<std::size_t> FindColumn(const LooseTable& table, std::string_view name);

/// "comma", "semicolon", "tab", "bar", "blank".
[[nodiscard]] std::string DelimiterWord(char delimiter);
[[nodiscard]] std::optional<char> ParseDelimiter(std::string_view word);
/// point, comma.
[[nodiscard]] std::optional<char> ParseDecimal(std::string_view word);

}  // namespace ohmglow
