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
constexpr double kNearlyAll = 0.9;
// The caution and the next step, and where the rest is.
constexpr std::size_t kAdviceLines = 6;

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
  const bool known = candidate.share_of_supply && internal::FollowsSupply(candidate);
  if (!known || *candidate.share_of_supply < 0.005) return {};
  return ", " + internal::FormatDigits(100 * *candidate.share_of_supply, 2) + " % of the supply's";
}

void AddPlace(std::vector<std::string>& lines, const LocateResult& result, std::size_t index) {
  const Candidate& candidate = result.candidates[index];
  const bool none = result.verdict == Verdict::kNone;
  const std::string text =
      std::to_string(index + 1) + ". " + internal::PlaceName(candidate) + ": " +
      (none ? std::string("set aside") : internal::ConfidenceText(candidate.confidence)) + "; " +
      internal::PowerText(candidate) + ShareText(candidate) + "; " +
      std::string(internal::SideWords(candidate.side));
  // The coordinates stand in result.json as well: they go first where the line is full.
  const std::string with_place = text + Coordinates(candidate);
  const bool fits = internal::NumColumns(with_place) <= kColumns;
  lines.push_back(CutToColumns(fits ? with_place : text, kColumns));
  const std::string doubt = internal::DoubtRemark(candidate);
  if (doubt.empty()) return;
  // What holds of several places is said once.
  for (std::size_t before = 0; before < index; ++before) {
    if (internal::DoubtRemark(result.candidates[before]) != doubt) continue;
    lines.back() =
        CutToColumns(lines.back() + "; as place " + std::to_string(before + 1), kColumns);
    return;
  }
  lines.push_back(CutToColumns(std::string(kIndent, ' ') + doubt, kColumns));
}

// Where the supply's watts go, once a place is named; empty where that is not known.
std::string BudgetLine(const LocateResult& result) {
  if (result.verdict == Verdict::kNone || !result.supply_path) return {};
  const SupplyPath& path = *result.supply_path;
  const double whole_w = path.drop_w() + path.ohmic_w();
  const double share = result.FaultWatts() / whole_w;
  if (!(whole_w > 0) || share > kNearlyAll) return {};
  return CutToColumns("Of the supply's " + internal::FormatPower(whole_w) + " at " +
                          internal::FormatDigits(path.top_amps_a, 2) + " A, about " +
                          internal::FormatDigits(100 * share, 1) +
                          " % warm what is named; the rest: leads, tracks, unseen.",
                      kColumns);
}

// As many pieces of advice as fit whole; the last line says where the rest is.
void AddAdvice(std::vector<std::string>& lines, const std::vector<std::string>& advice) {
  std::vector<std::vector<std::string>> pieces;
  std::size_t needed = 0;
  for (const std::string& sentence : advice) {
    if (sentence.empty()) continue;
    pieces.push_back(WrapColumns(std::string("- ").append(sentence), kColumns, 2));
    needed += pieces.back().size();
  }
  if (pieces.empty()) return;
  lines.emplace_back("Next:");
  const bool all = lines.size() + needed <= kLines;
  for (const std::vector<std::string>& piece : pieces) {
    if (!all && lines.size() + piece.size() + 1 > kLines) break;
    lines.insert(lines.end(), piece.begin(), piece.end());
  }
  if (!all) lines.emplace_back("- More advice and cautions stand in result.json.");
}

}  // namespace

std::string ToSummary(const LocateResult& result) {
  std::vector<std::string> lines = WrapColumns(
      internal::VerdictText(result) + " " + internal::VerdictDetail(result), kColumns, 0);
  if (lines.size() > 3) lines.resize(3);
  if (result.values == FrameValues::kRelative) {
    lines.insert(lines.begin(), internal::RelativeWords());
  }
  for (std::size_t i = 0; i < std::min(result.candidates.size(), kPlaces); ++i) {
    AddPlace(lines, result, i);
  }
  if (result.candidates.size() > kPlaces) {
    lines.push_back(std::string("(") + std::to_string(result.candidates.size() - kPlaces) +
                    " weaker places more in result.json)");
  }
  const std::string budget = BudgetLine(result);
  if (!budget.empty() && lines.size() + 1 + kAdviceLines <= kLines) lines.push_back(budget);
  AddAdvice(lines, internal::SortedAdvice(result));
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

}  // namespace ohmglow
