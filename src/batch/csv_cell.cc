// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/csv_cell.h"

#include <algorithm>
#include <array>

#include "input/text.h"
#include "words/shown_text.h"

namespace ohmglow::batch {
namespace {

constexpr std::size_t kCellChars = 500;
// The last four: full-width forms, which some spreadsheets read as the plain ones.
constexpr std::array<std::string_view, 8> kFormulaStarts{
    "=", "+", "-", "@", "\uFF1D", "\uFF0B", "\uFF0D", "\uFF20"};

// Where a program might begin a new cell, whatever it takes for a separator.
bool EndsCell(char c) { return std::string_view(",;\t\"'|").find(c) != std::string_view::npos; }

bool StartsFormula(std::string_view text) {
  return std::any_of(kFormulaStarts.begin(), kFormulaStarts.end(), [&](std::string_view start) {
    return text.starts_with(start);
  });
}

std::string Neutralised(const std::string& text) {
  if (ParseNumber(text)) return text;
  std::string out;
  bool at_start = true;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (at_start && StartsFormula(std::string_view(text).substr(i))) out += '\'';
    out += text[i];
    at_start = EndsCell(text[i]) || (at_start && text[i] == ' ');
  }
  return out;
}

}  // namespace

std::string CsvCell(std::string_view text) {
  const std::string safe = Neutralised(internal::CleanText(text, kCellChars));
  if (safe.find_first_of(",;\"\t") == std::string::npos) return safe;
  std::string quoted = "\"";
  for (const char c : safe) {
    quoted += c;
    if (c == '"') quoted += c;
  }
  return quoted + '"';
}

}  // namespace ohmglow::batch
