// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/answer_text.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "record/record_words.h"

namespace ohmglow::record {
namespace {

constexpr std::size_t kMostPlaces = 3;

// A place is called by its likeliest part, or by where it lies.
std::string NameOfPlace(const Candidate& place, const Words& words) {
  if (!place.parts.empty()) return place.parts.front().ref;
  const bool on_board = place.board_mm.has_value();
  const Point at = on_board ? *place.board_mm : place.frame_px;
  const char* const format = on_board ? "%.1f" : "%.0f";
  return words.Fill(
      on_board ? "place.board" : "place.pixel",
      {{"x", NumberText(words, format, at.x)}, {"y", NumberText(words, format, at.y)}});
}

}  // namespace

// "  1. C3  97 % (+12)  2.1 mW"
std::string AnswerText::PlaceLine(const Candidate& place, std::size_t rank) const {
  const std::string name = NameOfPlace(place, words_);
  const auto percent_of = [](const Candidate& one) { return std::lround(100 * one.confidence); };
  const long percent = percent_of(place);
  char moved[32] = "";
  for (const Candidate& earlier : before_) {
    if (NameOfPlace(earlier, words_) != name) continue;
    const long change = percent - percent_of(earlier);
    if (change != 0) std::snprintf(moved, sizeof moved, " (%+ld)", change);
    break;
  }
  // Nothing is sure to be no fault.
  const std::string certain = percent < 1 ? "<1" : std::to_string(percent);
  char line[160];
  std::snprintf(line,
                sizeof line,
                "\n  %zu. %-16s %3s %%%-6s %s",
                rank,
                name.c_str(),
                certain.c_str(),
                moved,
                WattText(words_, place.power_w).c_str());
  return line;
}

std::string AnswerText::Lines(const LocateResult& result, double film_share) {
  std::string text;
  if (result.candidates.empty()) text = "\n  " + words_.Get("state.no_place");
  for (std::size_t k = 0; k < std::min(kMostPlaces, result.candidates.size()); ++k) {
    text += PlaceLine(result.candidates[k], k + 1);
  }
  if (result.detectable_w > 0) {
    // Noise falls with the square root of the time.
    const double end_w = result.detectable_w * std::sqrt(std::clamp(film_share, 0.0, 1.0));
    text += "\n     " + words_.Fill("state.shows",
                                    {{"now", WattText(words_, result.detectable_w)},
                                     {"end", WattText(words_, end_w)}});
  }
  before_ = result.candidates;
  return text;
}

std::string EnoughText(const LocateResult& result, const Words& words) {
  const Candidate& first = result.candidates.front();
  return words.Fill("state.enough",
                    {{"place", NameOfPlace(first, words)},
                     {"percent", NumberText(words, "%.0f", 100 * first.confidence)}});
}

}  // namespace ohmglow::record
