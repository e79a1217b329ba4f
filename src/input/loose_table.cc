// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "loose_table.h"

#include <algorithm>
#include <array>

#include "loose_form.h"
#include "loose_number.h"
#include "loose_split.h"
#include "ohmglow/base/error.h"
#include "text.h"
#include "text_encoding.h"
#include "unit_words.h"

namespace ohmglow {
namespace {

constexpr std::size_t kDecimalRows = 20000;
constexpr std::size_t kMostColumns = 2000;

struct DelimiterName {
  char sign;
  std::string_view word;
};
constexpr std::array<DelimiterName, 5> kDelimiterNames = {
    {{',', "comma"}, {';', "semicolon"}, {'\t', "tab"}, {'|', "bar"}, {' ', "blank"}}};

bool IsUnitsRow(const LooseRow& row) {
  const auto is_unit = [](const std::string& cell) { return ParseUnit(cell).has_value(); };
  return std::any_of(row.cells.begin(), row.cells.end(), is_unit) &&
         std::none_of(row.cells.begin(), row.cells.end(), [](const std::string& cell) {
           return LooseNumber(cell, '.').has_value();
         });
}

bool SameCells(const LooseRow& row, const std::vector<std::string>& header) {
  return std::equal(
      row.cells.begin(),
      row.cells.end(),
      header.begin(),
      header.begin() + static_cast<std::ptrdiff_t>(std::min(row.cells.size(), header.size())),
      [](const std::string& a, const std::string& b) { return a == b; });
}

// Header, units and data of rows that begin at the header.
void TakeRows(std::vector<LooseRow> rows, const TableForm& form, LooseTable& table) {
  const std::size_t first = form.first_row.value_or(0);
  std::size_t at = first;
  std::vector<std::string> as_written;
  if (form.first_row && form.has_header) {
    as_written = rows[at].cells;
    table.header = HeaderCells(rows[at]);
    table.header_line = rows[at].line;
    ++at;
    if (at < rows.size() && IsUnitsRow(rows[at])) table.units = rows[at++].cells;
  }
  table.lines_above = first < rows.size() ? rows[first].line - 1 : 0;
  for (; at < rows.size(); ++at) {
    LooseRow& row = rows[at];
    if (!as_written.empty() && SameCells(row, as_written)) {
      table.header_again.push_back(row.line);
      continue;
    }
    if (row.cells[0].starts_with('#')) continue;
    if (!table.units.empty() && row.cells == table.units) continue;
    if (form.stamp_in_two) JoinStamp(row);
    table.rows.push_back(std::move(row));
  }
}

struct Hints {
  bool point = false, comma = false, either_point = false, either_comma = false;

  void Add(DecimalHint hint) {
    point |= hint == DecimalHint::kPoint;
    comma |= hint == DecimalHint::kComma;
    either_point |= hint == DecimalHint::kEitherPoint;
    either_comma |= hint == DecimalHint::kEitherComma;
  }
};

// A column by what it shows itself, else by what the others show.
char DecimalOf(const Hints& column, const Hints& table) {
  if (column.comma != column.point) return column.comma ? ',' : '.';
  const bool open = column.either_point || column.either_comma;
  if (!open) return column.either_comma ? ',' : '.';
  if (table.comma != table.point) return table.comma ? ',' : '.';
  // Nobody parts groups with points where nothing else is odd; with commas many do.
  return column.either_comma ? '?' : '.';
}

void FindDecimals(LooseTable& table, std::optional<char> given) {
  std::size_t columns = table.header.size();
  for (const LooseRow& row : table.rows) columns = std::max(columns, row.cells.size());
  columns = std::min(columns, kMostColumns);
  std::vector<Hints> hints(columns);
  Hints all;
  for (std::size_t row = 0; row < std::min(table.rows.size(), kDecimalRows); ++row) {
    const std::vector<std::string>& cells = table.rows[row].cells;
    for (std::size_t c = 0; c < std::min(columns, cells.size()); ++c) {
      const DecimalHint hint = HintOf(cells[c]);
      hints[c].Add(hint);
      all.Add(hint);
    }
  }
  for (const Hints& hint : hints) table.decimals.push_back(given ? *given : DecimalOf(hint, all));
}

}  // namespace

std::string_view LooseTable::Cell(std::size_t row, std::size_t column) const {
  const std::vector<std::string>& cells = rows[row].cells;
  return column < cells.size() ? std::string_view(cells[column]) : std::string_view();
}

char LooseTable::Decimal(std::size_t column) const {
  if (column >= decimals.size()) return '.';
  if (decimals[column] != '?') return decimals[column];
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const std::string_view cell = Cell(row, column);
    if (HintOf(cell) != DecimalHint::kEitherComma) continue;
    throw InputError(Where(row, column) + ": " + Quoted(cell) +
                     " can be read with a decimal comma (" +
                     FormatNumber(LooseNumber(cell, ',').value_or(0)) + ") or with thousands (" +
                     FormatNumber(LooseNumber(cell, '.').value_or(0)) + "); say " + decimal_key +
                     " = comma or point");
  }
  return '.';
}

std::string LooseTable::Where(std::size_t row, std::size_t column) const {
  return name + ", row " + std::to_string(rows[row].line) + ", column " + ColumnName(column);
}

std::string LooseTable::ColumnName(std::size_t column) const {
  if (column < header.size() && !header[column].empty()) {
    const std::string quoted = Quoted(header[column]);
    return quoted.substr(1, quoted.size() - 2);
  }
  return std::to_string(column + 1);
}

std::string LooseTable::ColumnNames() const {
  constexpr std::size_t kMostNamed = 20;
  std::string all;
  for (std::size_t c = 0; c < std::min(columns(), kMostNamed); ++c) {
    all += (c > 0 ? ", " : "") + ColumnName(c);
  }
  return columns() > kMostNamed ? all + ", ..." : all;
}

LooseTable ReadLooseTable(std::string_view bytes,
                          const std::string& name,
                          const LooseOptions& options) {
  std::vector<DecodedText> texts = DecodeText(bytes);
  if (texts.empty()) {
    throw InputError(name + ": is not a text file; what is wanted here is a table in plain text");
  }
  if (Trim(texts[0].utf8).empty()) {
    throw InputError(name + ": is empty; it needs a header row and data rows");
  }
  std::size_t best = 0;
  HeaderWords words(options.knows);
  TableForm form = FindForm(texts[0].utf8, name, options, words);
  for (std::size_t i = 1; i < texts.size(); ++i) {
    // An encoding changes words alone: what parts the columns is found.
    const auto other = FormParted(texts[i].utf8, form.delimiter, words);
    if (!other || other->known <= form.known) continue;
    best = i;
    form = *other;
  }
  LooseTable table;
  table.name = name;
  table.encoding = texts[best].encoding;
  table.delimiter = form.delimiter;
  table.decimal_key = options.decimal_key;
  TakeRows(SplitLoose(texts[best].utf8, form.delimiter, bytes.size() + 1), form, table);
  FindDecimals(table, options.decimal);
  return table;
}

std::optional<std::size_t> FindColumn(const LooseTable& table, std::string_view name) {
  for (std::size_t c = 0; c < table.header.size(); ++c) {
    if (Fold(table.header[c]) == Fold(name)) return c;
  }
  const auto number = ParseNumber(name);
  if (!number || *number < 1 || *number > static_cast<double>(table.columns())) return std::nullopt;
  return static_cast<std::size_t>(*number) - 1;
}

std::string DelimiterWord(char delimiter) {
  for (const DelimiterName& known : kDelimiterNames) {
    if (known.sign == delimiter) return std::string(known.word);
  }
  return {};
}

std::optional<char> ParseDelimiter(std::string_view word) {
  for (const DelimiterName& known : kDelimiterNames) {
    if (known.word == ToLower(word)) return known.sign;
  }
  return std::nullopt;
}

std::optional<char> ParseDecimal(std::string_view word) {
  const std::string lower = ToLower(word);
  if (lower == "point") return '.';
  if (lower == "comma") return ',';
  return std::nullopt;
}

}  // namespace ohmglow
