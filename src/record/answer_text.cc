// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/answer_text.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "record/plan_text.h"
#include "record/running_answer.h"

namespace ohmglow::record {
namespace {

constexpr std::size_t kMostPlaces = 3;

}  // namespace

// "  1. C3  97 % (+12)  2.1 mW"
std::string AnswerText::PlaceLine(const Candidate& place, std::size_t rank) const {
  const std::string name = NameOfPlace(place);
  char moved[16] = "";
  for (const Candidate& earlier : before_) {
    if (NameOfPlace(earlier) != name) continue;
    std::snprintf(moved, sizeof moved, " (%+.0f)", 100 * (place.confidence - earlier.confidence));
    break;
  }
  char line[160];
  std::snprintf(line,
                sizeof line,
                "\n  %zu. %-16s %3.0f %%%-6s %s",
                rank,
                name.c_str(),
                100 * place.confidence,
                moved,
                WattText(place.power_w).c_str());
  return line;
}

std::string AnswerText::Lines(const LocateResult& result, double film_share) {
  std::string text;
  if (result.candidates.empty()) text = "\n  no place stands out so far";
  for (std::size_t k = 0; k < std::min(kMostPlaces, result.candidates.size()); ++k) {
    text += PlaceLine(result.candidates[k], k + 1);
  }
  if (result.detectable_w > 0) {
    // Noise falls with the square root of the time.
    text += "\n     would show by now: " + WattText(result.detectable_w) + "; by the end: " +
            WattText(result.detectable_w * std::sqrt(std::clamp(film_share, 0.0, 1.0)));
  }
  before_ = result.candidates;
  return text;
}

std::string EnoughText(const LocateResult& result) {
  char line[160];
  std::snprintf(line,
                sizeof line,
                "Enough: %s, %.0f %%.",
                NameOfPlace(result.candidates.front()).c_str(),
                100 * result.candidates.front().confidence);
  return line;
}

}  // namespace ohmglow::record
