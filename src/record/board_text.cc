// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/board_text.h"

#include <algorithm>
#include <array>
#include <sstream>
#include <string_view>

#include "input/case_keys.h"
#include "input/ini_file.h"
#include "input/text.h"

namespace ohmglow::record {
namespace {

// Of a film: the new one has its own.
constexpr std::array<std::string_view, 12> kOfFilm{"source",
                                                   "times",
                                                   "growing",
                                                   "rate_hz",
                                                   "width_px",
                                                   "height_px",
                                                   "offset_bytes",
                                                   "gap_bytes",
                                                   "type",
                                                   "crop",
                                                   "member",
                                                   "name_times"};

// One line of the file: what it opens or sets.
struct Line {
  std::string section;  // It opens.
  std::string key;      // It sets.
};

Line Understand(std::string_view text) {
  text = Trim(text);
  if (text.starts_with('[')) {
    return {ToLower(Trim(text.substr(1, text.find(']') - 1))), ""};
  }
  const auto equals = text.find('=');
  if (equals == std::string_view::npos || text.starts_with(';') || text.starts_with('#')) return {};
  return {"", ToLower(Trim(text.substr(0, equals)))};
}

bool IsPath(const std::string& name) {
  return std::find(kCasePathKeys.begin(), kCasePathKeys.end(), name) != kCasePathKeys.end();
}

std::string FreeName(const std::filesystem::path& file, const std::vector<NamedCopy>& copies) {
  std::string name = file.filename().string();
  const auto taken = [&](const std::string& wanted) {
    return wanted == "case.ini" || wanted == "supply.csv" || wanted == "frames.csv" ||
           wanted == "frames.raw" || wanted == "steps.csv" ||
           std::any_of(copies.begin(), copies.end(), [&](const auto& c) { return c.to == wanted; });
  };
  while (taken(name)) name.insert(0, "board-");
  return name;
}

}  // namespace

BoardText ReadBoardText(const std::filesystem::path& file) {
  const IniFile ini(file, CaseKeys());  // Tells what is malformed.
  BoardText board;
  std::istringstream lines(ReadTextFile(file));
  std::string section;
  for (std::string text; std::getline(lines, text);) {
    while (!text.empty() && text.back() == '\r') text.pop_back();
    const Line line = Understand(text);
    if (!line.section.empty()) section = line.section;
    if (section == "supply") continue;
    const bool of_film =
        section == "frames" && std::find(kOfFilm.begin(), kOfFilm.end(), line.key) != kOfFilm.end();
    if (of_film) continue;
    const std::string name = section.empty() ? line.key : section + "." + line.key;
    const auto entry = line.key.empty() ? std::nullopt : ini.Find(name);
    if (entry && IsPath(name) && !entry->value.empty()) {
      const std::filesystem::path from = file.parent_path() / entry->value;
      RequireFile(from, name);
      board.copies.push_back({from, FreeName(from, board.copies)});
      text = line.key + " = \"" + board.copies.back().to + '"';
    }
    board.text += text + '\n';
  }
  return board;
}

}  // namespace ohmglow::record
