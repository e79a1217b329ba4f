// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "loose_form.h"

#include <algorithm>
#include <array>
#include <map>

#include "loose_number.h"
#include "loose_split.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr std::size_t kSampleRows = 300;
constexpr std::size_t kLongestWord = 60;
constexpr double kTooClose = 0.2;
constexpr std::array<char, 5> kDelimiters = {',', ';', '\t', '|', ' '};

struct Trial {
  TableForm form;
  std::vector<LooseRow> rows;
  double score = 0;
};

// Digits and the signs of dates and times, or the words of a number.
bool IsStampLike(std::string_view cell) {
  if (cell.size() < 5 || cell[0] < '0' || cell[0] > '9') return false;
  if (cell.find_first_not_of("0123456789:-/.TZ+ ") != std::string_view::npos) return false;
  const bool dots = std::count(cell.begin(), cell.end(), '.') == 2;
  return cell.find_first_of(":-/") != std::string_view::npos ||
         (dots && cell.find(' ') == std::string_view::npos);
}

// What is a number with a decimal comma is one with a point too, if another.
bool IsReadable(std::string_view cell) { return ParseQuantity(cell, '.') || IsStampLike(cell); }

std::size_t Width(const LooseRow& row) {
  std::size_t width = row.cells.size();
  while (width > 0 && row.cells[width - 1].empty()) --width;
  return width;
}

int Known(const LooseRow& row, HeaderWords& words) {
  int known = 0;
  for (const std::string& cell : HeaderCells(row)) {
    // "s;Voltage": parted at the wrong sign.
    const bool whole = cell.find_first_of(";\t|") == std::string::npos;
    const bool word = !cell.empty() && cell.size() <= kLongestWord && whole && !IsReadable(cell);
    known += word && words.Knows(cell) ? 1 : 0;
  }
  return known;
}

// 1 for a row as wide as the table, less for a short one, 0 for another.
double Fit(const LooseRow& row, std::size_t width, bool one_more) {
  const std::size_t wide = Width(row) - (one_more && Width(row) > 0 ? 1 : 0);
  if (wide > width || wide < 2) return 0;
  return wide == width || row.cells.size() == width ? 1 : 0.5;
}

double MeanFit(const std::vector<LooseRow>& rows, std::size_t from, std::size_t width, bool more) {
  if (from >= rows.size()) return 1;
  double sum = 0;
  for (std::size_t i = from; i < rows.size(); ++i) sum += Fit(rows[i], width, more);
  return sum / static_cast<double>(rows.size() - from);
}

// Share of readable cells in the rows that fit.
double ReadableShare(const std::vector<LooseRow>& rows, std::size_t from, std::size_t width) {
  double readable = 0;
  double all = 0;
  for (std::size_t i = from; i < rows.size(); ++i) {
    if (Fit(rows[i], width, false) == 0) continue;
    for (const std::string& cell : rows[i].cells) {
      if (cell.empty()) continue;
      readable += IsReadable(cell) ? 1 : 0;
      all += 1;
    }
  }
  return all > 0 ? readable / all : 0;
}

bool IsDate(std::string_view cell) {
  return IsStampLike(cell) && cell.find(':') == std::string::npos;
}
bool IsClock(std::string_view cell) {
  return IsStampLike(cell) && cell.find(':') != std::string::npos;
}

// Whether most rows after the header begin with the two halves of a stamp.
bool HasStampInTwo(const std::vector<LooseRow>& rows, std::size_t from, std::size_t width) {
  std::size_t found = 0;
  for (std::size_t i = from; i < rows.size(); ++i) {
    const auto& cells = rows[i].cells;
    found += cells.size() == width + 1 && IsDate(cells[0]) && IsClock(cells[1]) ? 1 : 0;
  }
  return found * 2 > rows.size() - std::min(from, rows.size());
}

void TakeHeader(Trial& trial, HeaderWords& words) {
  double best_fit = -1;
  for (std::size_t i = 0; i < trial.rows.size(); ++i) {
    const int known = Known(trial.rows[i], words);
    if (known == 0 || known < trial.form.known) continue;
    const std::size_t width = HeaderCells(trial.rows[i]).size();
    if (width < 2) continue;
    const bool two = trial.form.delimiter == ' ' && HasStampInTwo(trial.rows, i + 1, width);
    const double fit = MeanFit(trial.rows, i + 1, width, two);
    if (known == trial.form.known && fit <= best_fit) continue;
    best_fit = fit;
    trial.form = {trial.form.delimiter, i, true, two, known};
    // Words that fall on no column of the rows are worth little.
    trial.score =
        (4 + 2 * known) * fit + 2 * ReadableShare(trial.rows, i + 1, width + (two ? 1 : 0));
  }
}

// The width that most rows have, 0 where none has two cells.
std::size_t UsualWidth(const std::vector<LooseRow>& rows) {
  std::map<std::size_t, std::size_t> counts;
  for (const LooseRow& row : rows) ++counts[row.cells.size()];
  std::size_t width = 0;
  for (const auto& [cells, rows_of] : counts) {
    if (cells >= 2 && (width == 0 || rows_of >= counts[width])) width = cells;
  }
  return width;
}

// The numbers tell where the table begins; a row of words as wide above them is its header.
void TakeNumbers(Trial& trial) {
  const std::size_t width = UsualWidth(trial.rows);
  if (width == 0) return;
  const auto is_data = [&](const LooseRow& row) {
    const auto readable = std::count_if(row.cells.begin(), row.cells.end(), IsReadable);
    return row.cells.size() == width && 2 * readable >= static_cast<std::ptrdiff_t>(width);
  };
  const auto first = std::find_if(trial.rows.begin(), trial.rows.end(), is_data);
  if (first == trial.rows.end()) return;
  auto at = static_cast<std::size_t>(first - trial.rows.begin());
  trial.score =
      4 * MeanFit(trial.rows, at, width, false) + 2 * ReadableShare(trial.rows, at, width);
  if (at > 0) {
    const std::vector<std::string>& above = trial.rows[at - 1].cells;
    const bool words =
        above.size() == width && std::none_of(above.begin(), above.end(), IsReadable);
    trial.form.has_header = words;
    at -= words ? 1 : 0;
  }
  trial.form.first_row = at;
}

Trial Try(std::string_view text, char delimiter, HeaderWords& words) {
  Trial trial;
  trial.form.delimiter = delimiter;
  trial.rows = SplitLoose(text, delimiter, kSampleRows);
  TakeHeader(trial, words);
  if (!trial.form.first_row) TakeNumbers(trial);
  return trial;
}

// "sep=;" as the first line, which spreadsheets write and read.
std::optional<char> StatedDelimiter(std::string_view text) {
  const std::string line = ToLower(Trim(text.substr(0, text.find_first_of("\r\n"))));
  const std::size_t at = line.starts_with('"') ? 1 : 0;
  if (line.compare(at, 4, "sep=") != 0 || line.size() < at + 5) return std::nullopt;
  return line[at + 4];
}

// Where tabs part each row of the table alike, a blank stands within a cell.
bool TabsPartAll(const Trial& trial) {
  if (trial.form.delimiter != '\t') return false;
  const std::size_t first = *trial.form.first_row;
  const std::size_t width = trial.rows[first].cells.size();
  return width >= 2 && std::all_of(trial.rows.begin() + static_cast<std::ptrdiff_t>(first),
                                   trial.rows.end(),
                                   [&](const LooseRow& row) { return row.cells.size() == width; });
}

std::string Shown(const LooseRow& row) {
  std::string all;
  for (const std::string& cell : row.cells) all += (all.empty() ? "" : " | ") + cell;
  return Quoted(all);
}

bool SameRows(const Trial& a, const Trial& b) {
  return std::equal(a.rows.begin(),
                    a.rows.end(),
                    b.rows.begin(),
                    b.rows.end(),
                    [](const LooseRow& x, const LooseRow& y) { return x.cells == y.cells; });
}

}  // namespace

std::vector<std::string> HeaderCells(const LooseRow& row) {
  std::vector<std::string> cells = row.cells;
  cells.resize(Width(row));
  if (!cells.empty() && cells[0].starts_with('#')) {
    cells[0] = Trim(std::string_view(cells[0]).substr(1));
    if (cells[0].empty()) cells.erase(cells.begin());  // "# time amps", parted by blanks.
  }
  return cells;
}

void JoinStamp(LooseRow& row) {
  if (row.cells.size() < 2 || !IsDate(row.cells[0]) || !IsClock(row.cells[1])) return;
  row.cells[0] += " " + row.cells[1];
  row.cells.erase(row.cells.begin() + 1);
}

bool HeaderWords::Knows(const std::string& cell) {
  if (knows_ == nullptr) return false;
  const auto [known, is_new] = asked_.try_emplace(cell, false);
  if (is_new) known->second = knows_(cell);
  return known->second;
}

std::optional<TableForm> FormParted(std::string_view text, char delimiter, HeaderWords& words) {
  const Trial trial = Try(text, delimiter, words);
  return trial.form.first_row ? std::optional(trial.form) : std::nullopt;
}

TableForm FindForm(std::string_view text,
                   const std::string& name,
                   const LooseOptions& options,
                   HeaderWords& words) {
  std::vector<Trial> trials;
  std::optional<char> given = options.delimiter;
  if (!given) given = StatedDelimiter(text);
  for (const char delimiter : kDelimiters) {
    if (given && delimiter != *given) continue;
    if (delimiter == ' ' && std::any_of(trials.begin(), trials.end(), TabsPartAll)) continue;
    Trial trial = Try(text, delimiter, words);
    if (trial.form.first_row) trials.push_back(std::move(trial));
  }
  if (trials.empty()) {
    throw InputError(name +
                     ": is no table: no comma, semicolon, tab, bar or blank parts its lines into "
                     "columns; save it as CSV");
  }
  std::stable_sort(trials.begin(), trials.end(), [](const Trial& a, const Trial& b) {
    return a.score > b.score;
  });
  const Trial& best = trials[0];
  for (std::size_t i = 1; i < trials.size(); ++i) {
    const Trial& other = trials[i];
    if (other.score < best.score - kTooClose || SameRows(best, other)) continue;
    const LooseRow& row = best.rows.back();
    throw InputError(name + ", row " + std::to_string(row.line) + ": can be parted at each " +
                     DelimiterWord(best.form.delimiter) + " (" + Shown(row) + ") or at each " +
                     DelimiterWord(other.form.delimiter) + " (" + Shown(other.rows.back()) +
                     "); say " + options.delimiter_key + " = " +
                     DelimiterWord(best.form.delimiter) + " or " +
                     DelimiterWord(other.form.delimiter));
  }
  return best.form;
}

}  // namespace ohmglow
