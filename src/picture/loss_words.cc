// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/loss_words.h"

#include <algorithm>
#include <vector>

#include "input/case_remarks.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kPieceChars = 120;

std::string UnreadableText(const LocateResult& result, const Words& words) {
  const std::vector<FrameState>& frames = result.alignment.frames;
  const auto count = std::count_if(frames.begin(), frames.end(), [](const FrameState& frame) {
    return !frame.used && frame.reason.kind == RemarkKind::kFrameUnreadable;
  });
  if (count == 0) return {};
  return words.Fill("summary.lost.unreadable",
                    {{"count", std::to_string(count)}, {"all", std::to_string(frames.size())}});
}

// A remark on times that cannot be says so already.
std::string TimesText(const LocateResult& result, const Words& words) {
  const std::vector<Remark>& said = result.supply_remarks;
  const Remark how = TimesGuessedBy(result.assumed);
  if (how.empty() || std::any_of(said.begin(), said.end(), IsOf(RemarkKind::kSpansDiffer))) {
    return {};
  }
  return words.Fill("summary.guessed.times", {{"how", Say(how, words)}});
}

}  // namespace

std::string LossNote(const LocateResult& result, const Words& words) {
  std::vector<std::string> pieces;
  for (const Assumption& one : result.assumed) {
    if (one.told.kind == RemarkKind::kWattsByEmissivity || !one.whose.empty()) continue;
    pieces.push_back(CleanText(Say(one.told, words), kPieceChars));
  }
  pieces.push_back(UnreadableText(result, words));
  pieces.push_back(TimesText(result, words));
  std::string text;
  for (const std::string& piece : pieces) {
    if (!piece.empty()) text += (text.empty() ? "" : "; ") + piece;
  }
  return text.empty() ? text : words.Fill("summary.lost", {{"text", text}});
}

std::string EmissivityNote(const LocateResult& result, const Words& words) {
  const std::vector<Remark>& said = result.advice;
  if (std::any_of(said.begin(), said.end(), IsOf(RemarkKind::kRegionsUntied))) return {};
  const Assumption* told = FindAssumed(result.assumed, "surface.regions");
  return told ? CleanText(Say(told->told, words), kPieceChars) : std::string();
}

}  // namespace ohmglow::internal
