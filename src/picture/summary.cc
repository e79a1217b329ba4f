// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <string>
#include <vector>

#include "ohmglow/picture/report.h"
#include "picture/text.h"
#include "picture/words.h"

namespace ohmglow {
namespace {

using internal::CutToColumns;
using internal::WrapColumns;

constexpr int kColumns = 100;
constexpr std::size_t kLines = 15;
constexpr std::size_t kPlaces = 3;
constexpr int kIndent = 3;

std::string Coordinates(const Candidate& candidate) {
  // Where there is no part, the name already says the place.
  const bool named = std::any_of(candidate.parts.begin(), candidate.parts.end(), [](const auto& p) {
    return !internal::CleanText(p.ref, 1).empty();
  });
  if (!named || !candidate.board_mm) return {};
  Candidate bare = candidate;
  bare.parts.clear();
  return "; " + internal::PlaceName(bare);
}

// How much of what the supply gave is seen here: the rest is in leads, contacts, tracks.
std::string ShareText(const Candidate& candidate) {
  if (!candidate.share_of_supply || *candidate.share_of_supply < 0.005) return {};
  return ", " + internal::FormatDigits(100 * *candidate.share_of_supply, 2) + " % of the supply's";
}

void AddPlace(std::vector<std::string>& lines, const LocateResult& result, std::size_t index) {
  const Candidate& candidate = result.candidates[index];
  const bool none = result.verdict == Verdict::kNone;
  const std::string text =
      std::to_string(index + 1) + ". " + internal::PlaceName(candidate) + ": " +
      (none ? std::string("set aside") : internal::ConfidenceText(candidate.confidence)) + "; " +
      internal::FormatPowerRange(candidate.power_w, candidate.power_low_w, candidate.power_high_w) +
      ShareText(candidate) + "; " + std::string(internal::SideWords(candidate.side));
  // The coordinates stand in result.json as well: they go first where the line is full.
  const std::string with_place = text + Coordinates(candidate);
  const bool fits = internal::NumColumns(with_place) <= kColumns;
  lines.push_back(CutToColumns(fits ? with_place : text, kColumns));
  const std::string doubt = internal::DoubtRemark(candidate);
  if (!doubt.empty()) {
    lines.push_back(CutToColumns(std::string(kIndent, ' ') + doubt, kColumns));
  }
}

// Where the supply's watts go, once a place is named.
void AddBudget(std::vector<std::string>& lines, const LocateResult& result) {
  if (result.verdict == Verdict::kNone || !result.supply_path) return;
  const SupplyPath& path = *result.supply_path;
  const double whole_w = path.drop_w() + path.ohmic_w();
  const double left_w = whole_w - result.FaultWatts();
  if (!(left_w > 0)) return;
  lines.push_back(CutToColumns("The supply gives " + internal::FormatPower(whole_w) + " at " +
                                   internal::FormatDigits(path.top_amps_a, 2) +
                                   " A: " + internal::FormatPower(left_w) +
                                   " of it go into leads, contacts, tracks or out of sight.",
                               kColumns));
}

// As much advice as fits; the last line says where the rest is.
void AddAdvice(std::vector<std::string>& lines, const std::vector<std::string>& advice) {
  std::vector<std::string> wrapped;
  for (const std::string& sentence : advice) {
    if (sentence.empty()) continue;
    for (std::string& line : WrapColumns(std::string("- ").append(sentence), kColumns, 2)) {
      wrapped.push_back(std::move(line));
    }
  }
  if (wrapped.empty()) return;
  lines.emplace_back("Next:");
  const std::size_t room = kLines - lines.size();
  if (wrapped.size() > room) {
    wrapped.resize(room - 1);
    wrapped.emplace_back("- More advice and cautions stand in result.json.");
  }
  lines.insert(lines.end(), wrapped.begin(), wrapped.end());
}

}  // namespace

std::string ToSummary(const LocateResult& result) {
  std::vector<std::string> lines = WrapColumns(
      internal::VerdictText(result) + " " + internal::VerdictDetail(result), kColumns, 0);
  if (lines.size() > 3) lines.resize(3);
  for (std::size_t i = 0; i < std::min(result.candidates.size(), kPlaces); ++i) {
    AddPlace(lines, result, i);
  }
  if (result.candidates.size() > kPlaces) {
    lines.push_back(std::string("(") + std::to_string(result.candidates.size() - kPlaces) +
                    " weaker places more in result.json)");
  }
  AddBudget(lines, result);
  AddAdvice(lines, internal::SortedAdvice(result));
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

}  // namespace ohmglow
