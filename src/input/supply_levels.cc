// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "supply_levels.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "csv_table.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

// More changes than this are no current set by hand: a log is needed then.
constexpr std::size_t kMostLevels = 41;
// Smaller than this part of the largest current a change shows nowhere.
constexpr double kLeastChange = 0.02;

// More is what a milliamp's number looks like; no bench supply gives it.
constexpr double kMostAmpsA = 100;

[[noreturn]] void FailForm(std::string_view word, const std::string& where) {
  throw InputError(where + ": " + Quoted(word) + ": numbers only, in amps, with a point: 0.72");
}

// "0.72A", "720mA" and the "mA" of "720 mA".
bool HasUnit(std::string_view word) {
  return !word.empty() &&
         (IsDigit(word[0]) || word[0] == '.' || word == "A" || word == "mA" || word == "a");
}

// Where blanks or semicolons part the levels, a comma between digits is a decimal sign, as logs
// have it: "0 0,72 0". "0,72" alone may be one number or two, and is asked for, as are commas
// beside points.
std::string WithPoints(std::string_view text, const std::string& where) {
  std::string out(text);
  const bool parted = Trim(text).find_first_of(" \t;") != std::string_view::npos;
  const bool points = text.find('.') != std::string_view::npos;
  const bool one = std::count(text.begin(), text.end(), ',') == 1;
  if (!parted && (!one || points || text.find('@') != std::string_view::npos)) return out;
  for (std::size_t i = 1; i + 1 < text.size(); ++i) {
    if (text[i] != ',' || !IsDigit(text[i - 1]) || !IsDigit(text[i + 1])) continue;
    const std::size_t before = text.find_last_of(" \t;@", i);
    const std::size_t begin = before == std::string_view::npos ? 0 : before + 1;
    const std::size_t end = std::min(text.find_first_of(" \t;@", i), text.size());
    std::string_view word = text.substr(begin, end - begin);
    while (word.ends_with(',')) word.remove_suffix(1);
    if (!parted || points || std::count(word.begin(), word.end(), ',') > 1) FailForm(word, where);
    out[i] = '.';
  }
  return out;
}

double NumberIn(std::string_view text, const std::string& where, const char* what) {
  const auto value = ParseNumber(text);
  if (!value) {
    throw InputError(where + ": " + Quoted(text) + " is no " + what +
                     "; write amps in order like 0 0.5 0, or with seconds like 0@0 0.5@6 0@12");
  }
  return *value;
}

SetLevel ParseLevel(std::string_view word, double within_s, const std::string& where) {
  SetLevel level;
  level.within_s = within_s;
  const std::size_t at = word.find('@');
  const std::string_view amps = word.substr(0, at);
  if (!ParseNumber(amps) && HasUnit(amps)) FailForm(amps, where);
  level.amps_a = NumberIn(word.substr(0, at), where, "current");
  if (at != std::string_view::npos) {
    level.start_s = NumberIn(word.substr(at + 1), where, "time");
  }
  return level;
}

void CheckAmps(const std::vector<SetLevel>& levels, const std::string& where) {
  double top_a = 0;
  for (const SetLevel& level : levels) {
    if (level.amps_a < 0) {
      throw InputError(where + ": " + FormatNumber(level.amps_a) +
                       " A is negative; give the current's size alone");
    }
    if (level.amps_a > kMostAmpsA) {
      throw InputError(where + ": " + FormatNumber(level.amps_a) + " A: levels are amps; write " +
                       FormatNumber(level.amps_a / 1000));
    }
    top_a = std::max(top_a, level.amps_a);
  }
  for (std::size_t i = 1; i < levels.size(); ++i) {
    if (std::abs(levels[i].amps_a - levels[i - 1].amps_a) >= kLeastChange * top_a && top_a > 0) {
      continue;
    }
    throw InputError(where + ": " + FormatNumber(levels[i].amps_a) + " A follows " +
                     FormatNumber(levels[i - 1].amps_a) +
                     " A, which is no step; give each level that differs from the one before once");
  }
}

void CheckTimes(const std::vector<SetLevel>& levels, const std::string& where) {
  std::optional<double> last_s;
  for (const SetLevel& level : levels) {
    if (last_s && level.start_s && *level.start_s <= *last_s) {
      throw InputError(where + ": the time " + FormatNumber(*level.start_s) +
                       " s does not follow " + FormatNumber(*last_s) +
                       " s; give the levels in the order they were set");
    }
    if (level.start_s) last_s = level.start_s;
  }
}

std::vector<SetLevel> Checked(std::vector<SetLevel> levels, const std::string& where) {
  if (levels.size() < 2) {
    throw InputError(where + " holds " + std::to_string(levels.size()) +
                     " level; a step needs two, like 0 0.5");
  }
  if (levels.size() > kMostLevels) {
    throw InputError(where + " holds " + std::to_string(levels.size()) + " levels, more than " +
                     std::to_string(kMostLevels) + "; name the supply's log as [supply] log");
  }
  CheckAmps(levels, where);
  CheckTimes(levels, where);
  return levels;
}

}  // namespace

std::vector<SetLevel> ParseLevels(std::string_view given,
                                  double within_s,
                                  const std::string& where) {
  constexpr std::string_view kBetween = " \t,;";
  const std::string parted = WithPoints(given, where);
  const std::string_view text = parted;
  std::vector<SetLevel> levels;
  std::size_t begin = text.find_first_not_of(kBetween);
  while (begin != std::string_view::npos) {
    const std::size_t end = std::min(text.find_first_of(kBetween, begin), text.size());
    levels.push_back(ParseLevel(text.substr(begin, end - begin), within_s, where));
    begin = text.find_first_not_of(kBetween, end);
  }
  return Checked(std::move(levels), where);
}

std::vector<SetLevel> ReadLevels(const std::filesystem::path& file,
                                 double within_s,
                                 std::string_view named_by) {
  const CsvTable table(file, named_by);
  const auto time = table.OptionalColumn("time_s");
  const std::size_t amps = table.Column("amps");
  const auto within = table.OptionalColumn("within_s");
  std::vector<SetLevel> levels;
  for (std::size_t row = 0; row < table.size(); ++row) {
    SetLevel level;
    level.amps_a = table.Number(row, amps);
    level.within_s = within_s;
    if (time && !table.Text(row, *time).empty()) level.start_s = table.Number(row, *time);
    if (within && !table.Text(row, *within).empty()) {
      level.within_s = table.Number(row, *within);
      if (level.within_s <= 0) table.Fail(row, *within, "must be > 0");
    }
    levels.push_back(level);
  }
  return Checked(std::move(levels), file.string());
}

}  // namespace ohmglow
