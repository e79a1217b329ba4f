// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "loose_split.h"

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <utility>

#include "text.h"

namespace ohmglow {
namespace {

constexpr std::size_t kLongestQuote = 2000;
constexpr int kMostQuotedLines = 10;
constexpr std::size_t kNamedTenths = 8;   // Of the rows that must name their values.
constexpr std::size_t kMostCells = 4096;  // No table is as wide; bounds the memory of odd files.

class Splitter {
 public:
  Splitter(std::string_view text, char delimiter) : text_(text), delimiter_(delimiter) {}

  std::vector<LooseRow> Read(std::size_t most) {
    std::vector<LooseRow> rows;
    while (at_ < text_.size() && rows.size() < most) {
      LooseRow row{line_, {}};
      ReadRow(row);
      if (delimiter_ == ' ') JoinBrackets(row.cells);
      const bool blank = std::all_of(
          row.cells.begin(), row.cells.end(), [](const std::string& cell) { return cell.empty(); });
      if (!blank) rows.push_back(std::move(row));
    }
    return rows;
  }

 private:
  bool AtLineEnd() const { return at_ >= text_.size() || text_[at_] == '\n' || text_[at_] == '\r'; }

  static bool IsBlank(char c) { return c == ' ' || c == '\t'; }

  bool IsDelimiter(char c) const { return delimiter_ == ' ' ? IsBlank(c) : c == delimiter_; }

  void SkipBlanks() {
    while (at_ < text_.size() && IsBlank(text_[at_]) && text_[at_] != delimiter_) ++at_;
    while (delimiter_ == ' ' && at_ < text_.size() && IsBlank(text_[at_])) ++at_;
  }

  void ReadRow(LooseRow& row) {
    SkipBlanks();
    ReadCell(row);
    while (!AtLineEnd()) {
      ++at_;
      if (delimiter_ == ' ') {
        SkipBlanks();
        if (AtLineEnd()) break;
      }
      ReadCell(row);
    }
    if (at_ >= text_.size()) return;
    at_ += text_.substr(at_, 2) == "\r\n" ? 2 : 1;
    ++line_;
  }

  void ReadCell(LooseRow& row) {
    SkipBlanks();
    if (at_ < text_.size() && text_[at_] == '"') {
      if (auto quoted = TakeQuoted()) {
        if (row.cells.size() < kMostCells) row.cells.emplace_back(Trim(*quoted));
        return;
      }
    }
    const std::size_t begin = at_;
    while (!AtLineEnd() && !IsDelimiter(text_[at_])) ++at_;
    if (row.cells.size() < kMostCells) {
      row.cells.emplace_back(Trim(text_.substr(begin, at_ - begin)));
    }
  }

  // Steps over a quoted cell; leaves everything as it is where its end is not found.
  std::optional<std::string> TakeQuoted() {
    std::string cell;
    std::size_t at = at_ + 1;
    int lines = 0;
    for (; at < text_.size() && at - at_ < kLongestQuote && lines < kMostQuotedLines; ++at) {
      if (text_[at] == '\n') ++lines;
      if (text_[at] == '"') {
        if (at + 1 >= text_.size() || text_[at + 1] != '"') break;
        ++at;
      }
      cell += text_[at];
    }
    if (at >= text_.size() || text_[at] != '"') return std::nullopt;
    ++at;
    while (at < text_.size() && IsBlank(text_[at]) && !IsDelimiter(text_[at])) ++at;
    const bool ends =
        at >= text_.size() || text_[at] == '\n' || text_[at] == '\r' || IsDelimiter(text_[at]);
    if (!ends) return std::nullopt;
    at_ = at;
    line_ += lines;
    return cell;
  }

  static void JoinBrackets(std::vector<std::string>& cells) {
    std::vector<std::string> joined;
    for (std::string& cell : cells) {
      const bool bracket = !cell.empty() && (cell[0] == '(' || cell[0] == '[');
      if (bracket && !joined.empty()) {
        joined.back() += " " + cell;
      } else {
        joined.push_back(std::move(cell));
      }
    }
    cells = std::move(joined);
  }

  std::string_view text_;
  char delimiter_;
  std::size_t at_ = 0;
  int line_ = 1;
};

// The names of a row such as "t=0.20s V=1.000 I=0.25"; empty where a cell has none.
std::vector<std::string> NamesIn(const LooseRow& row) {
  std::vector<std::string> names;
  for (const std::string& cell : row.cells) {
    const std::size_t equals = cell.find('=');
    if (equals == std::string::npos || equals == 0 || (cell[0] >= '0' && cell[0] <= '9')) return {};
    if (cell.back() == ',' || cell.back() == ';') return {};  // Parted at the blank behind it.
    names.emplace_back(Trim(std::string_view(cell).substr(0, equals)));
  }
  return names.size() < 2 ? std::vector<std::string>() : names;
}

// Where nearly all rows name each of their values, the names become a header.
void TakeNamesOut(std::vector<LooseRow>& rows) {
  std::map<std::vector<std::string>, std::size_t> counts;
  std::size_t all = 0;
  for (const LooseRow& row : rows) {
    all += row.cells[0].starts_with('#') ? 0 : 1;
    if (auto names = NamesIn(row); !names.empty()) ++counts[std::move(names)];
  }
  const auto usual =
      std::max_element(counts.begin(), counts.end(), [](const auto& a, const auto& b) {
        return a.second < b.second;
      });
  if (usual == counts.end() || 10 * usual->second < kNamedTenths * all) return;
  std::optional<std::size_t> first;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (NamesIn(rows[i]) != usual->first) continue;
    if (!first) first = i;
    for (std::string& cell : rows[i].cells) {
      cell = Trim(std::string_view(cell).substr(cell.find('=') + 1));
    }
  }
  const LooseRow header{rows[*first].line, usual->first};
  rows.insert(rows.begin() + static_cast<std::ptrdiff_t>(*first), header);
}

}  // namespace

std::vector<LooseRow> SplitLoose(std::string_view text, char delimiter, std::size_t most) {
  std::vector<LooseRow> rows = Splitter(text, delimiter).Read(most);
  TakeNamesOut(rows);
  return rows;
}

}  // namespace ohmglow
