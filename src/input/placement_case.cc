// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "placement_case.h"

#include "loose_table.h"
#include "ohmglow/base/error.h"
#include "tables.h"
#include "text.h"
#include "text_encoding.h"

namespace ohmglow {
namespace {

[[noreturn]] void Fail(const IniFile& ini, const IniEntry& entry, const std::string& rule) {
  throw InputError(ini.Where(entry) + " = " + Quoted(entry.value) + "; " + rule);
}

PlacementOptions ReadOptions(const IniFile& ini) {
  PlacementOptions options;
  if (const auto entry = ini.Find("board.parts_columns")) options.columns = entry->value;
  if (const auto entry = ini.Find("board.parts_unit")) {
    const auto unit = ParseUnit(entry->value);
    if (!unit || unit->dimension != Dimension::kLength) {
      Fail(ini, *entry, "must be mm, um, mil or inch");
    }
    options.unit = entry->value;
  }
  if (const auto entry = ini.Find("board.parts_top")) options.top_word = entry->value;
  if (const auto entry = ini.Find("board.parts_chips")) {
    const std::string word = ToLower(entry->value);
    if (word != "inch" && word != "metric") Fail(ini, *entry, "must be inch or metric");
    options.metric_chips = word == "metric";
  }
  if (const auto entry = ini.Find("board.parts_bottom_x")) {
    const std::string word = ToLower(entry->value);
    if (word != "same" && word != "mirrored") Fail(ini, *entry, "must be same or mirrored");
    options.bottom_mirrored = word == "mirrored";
  }
  if (const auto entry = ini.Find("board.parts_decimal")) {
    options.decimal = ParseDecimal(entry->value);
    if (!options.decimal) Fail(ini, *entry, "must be point or comma");
  }
  if (const auto entry = ini.Find("board.parts_delimiter")) {
    options.delimiter = ParseDelimiter(entry->value);
    if (!options.delimiter) Fail(ini, *entry, "must be comma, semicolon, tab, bar or blank");
  }
  return options;
}

// Our own table: its first line has a column x_mm, or it lacks all that a list has.
bool IsOwnTable(std::string_view bytes) {
  const auto texts = DecodeText(bytes);
  if (texts.empty()) return true;  // Whose message fits as well.
  const std::string_view text = Trim(texts[0].utf8);
  return text.empty() ||
         ToLower(text.substr(0, text.find_first_of("\r\n"))).find("x_mm") != std::string::npos;
}

}  // namespace

PlacementList ReadCaseParts(const std::filesystem::path& file, const IniFile& ini) {
  const PlacementOptions options = ReadOptions(ini);
  const std::string bytes = ReadFileBytes(file, "board.parts");
  if (IsOwnTable(bytes)) return {ReadParts(file, "board.parts"), {}};
  PlacementList list = ParsePlacementList(bytes, file.string(), options);
  if (options.columns) list.columns.clear();  // Said by the case already.
  return list;
}

}  // namespace ohmglow
