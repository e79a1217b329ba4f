// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "ohmglow/picture/compare_report.h"
#include "picture/answer_words.h"
#include "picture/compare_words.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using internal::CutToColumns;
using internal::NumColumns;
using Lines = std::vector<std::string>;

constexpr int kColumns = 100;
constexpr std::size_t kLines = 15;
constexpr std::size_t kHeadLines = 6;  // Enough that a caution at the end is not cut off.
constexpr std::size_t kPlaceLines = 5;
constexpr std::array kRegionColumns{19, 16, 17, 16, 15, 14};
constexpr int kLeastNameColumns = 12;

void Add(Lines& lines, const std::string& text, std::size_t most) {
  Lines wrapped = internal::WrapColumns(text, kColumns, 2);
  if (wrapped.size() > most) {
    wrapped.resize(most);
    wrapped.back() = CutToColumns(wrapped.back() + " \u2026", kColumns);
  }
  lines.insert(lines.end(), wrapped.begin(), wrapped.end());
}

Lines Head(const CompareResult& result, const Words& words) {
  Lines lines;
  Add(lines, internal::CompareHeadline(result, words) + ".", 2);
  std::string sentences;
  for (const std::string& sentence : internal::CompareSentences(result, words)) {
    sentences += (sentences.empty() ? "" : " ") + sentence;
  }
  if (!sentences.empty()) Add(lines, sentences, kHeadLines - lines.size());
  return lines;
}

// The name gives way, so that the numbers behind it stay.
std::string PlaceLine(const CompareResult& result, const ComparedPlace& place, const Words& words) {
  const std::string percent = internal::ChangePercent(place, words);
  std::string change = internal::ChangeWord(result, place, words);
  if (!percent.empty()) {
    change = words.Fill("change.with_percent", {{"change", change}, {"percent", percent}});
  }
  const auto line = [&](const std::string& name) {
    return words.Fill("compare.place",
                      {{"place", internal::PlaceLetter(place) + "  " + name},
                       {"change", change},
                       {"before", internal::BeforePower(place, words)},
                       {"after", internal::AfterPower(result, place, words)}});
  };
  const std::string name = internal::ComparedPlaceName(result, place, words);
  std::string ratio = internal::RatioText(place, words);
  if (!ratio.empty()) ratio.insert(0, "; ");
  if (NumColumns(line(name) + ratio) > kColumns) ratio.clear();
  const int room = std::max(kColumns - NumColumns(line("") + ratio), kLeastNameColumns);
  return CutToColumns(line(CutToColumns(name, room)) + ratio, kColumns);
}

Lines Places(const CompareResult& result, std::size_t room, const Words& words) {
  Lines lines;
  const std::size_t num = result.places.size();
  const std::size_t shown = num <= room ? num : room - 1;
  for (std::size_t i = 0; i < shown; ++i)
    lines.push_back(PlaceLine(result, result.places[i], words));
  if (shown < num) {
    lines.push_back(words.Fill("compare.more_places", {{"count", std::to_string(num - shown)}}));
  }
  return lines;
}

std::string TableLine(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const int columns = kRegionColumns[i];
    const std::string cell = CutToColumns(cells[i], columns - 1);
    // No blanks at the end of a line.
    const int padding = i + 1 == cells.size() ? 0 : columns - NumColumns(cell);
    line += cell + std::string(static_cast<std::size_t>(padding), ' ');
  }
  return CutToColumns(line, kColumns);
}

Lines Regions(const CompareResult& result, std::size_t room, const Words& words) {
  Lines lines;
  const std::size_t num = result.regions.size();
  if (num == 0 || room < 2) return lines;
  lines.push_back(TableLine(internal::RegionHeads(words)));
  const std::size_t shown = num + 1 <= room ? num : room - 2;
  for (std::size_t i = 0; i < shown; ++i) {
    lines.push_back(TableLine(internal::RegionCells(result.regions[i], words)));
  }
  if (shown < num) {
    lines.push_back(words.Fill("compare.more_regions", {{"count", std::to_string(num - shown)}}));
  }
  return lines;
}

}  // namespace

std::string ToCompareSummary(const CompareResult& result, const Words& words) {
  Lines end;
  const std::string current = internal::CurrentText(result, words);
  if (!current.empty()) Add(end, current, 1);
  const std::string resistance = internal::ResistanceText(result.resistance, words);
  if (!resistance.empty()) Add(end, resistance, 2);
  const std::string registration = internal::RegistrationText(result, words);
  if (!registration.empty()) Add(end, registration, 2);

  Lines lines = Head(result, words);
  const std::size_t room = kLines - lines.size() - end.size();
  const std::size_t for_regions = std::min(result.regions.size() + 1, room - 3);
  const std::size_t for_places =
      result.regions.empty() ? room : std::max(room - for_regions, std::size_t{3});
  const Lines places = Places(result, std::min(for_places, kPlaceLines), words);
  const Lines regions = Regions(result, room - places.size(), words);
  for (const Lines& part : {places, regions, end}) {
    lines.insert(lines.end(), part.begin(), part.end());
  }
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

}  // namespace ohmglow
