// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/loss_words.h"

#include <algorithm>
#include <vector>

#include "input/case_losses.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say.h"
#include "picture/text.h"
#include "words/numbers.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kQuotedChars = 80;
constexpr int kDigits = 3;

std::string Quoted(const std::string& text) { return CleanText(text, kQuotedChars); }

// How to write it, which follows behind, stands in result.json.
std::string WithoutHint(const std::string& reason) { return reason.substr(0, reason.find("; ")); }

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
  if (const auto rows = RowsLostOf(result.assumed)) {
    pieces.push_back(words.Fill(
        "summary.lost.log",
        {{"count", rows->lost}, {"all", rows->all}, {"why", Quoted(WithoutHint(rows->reason))}}));
  }
  for (const std::string& what : FramesLost(result.assumed)) {
    pieces.push_back(words.Fill("summary.lost.frames", {{"what", Quoted(what)}}));
  }
  pieces.push_back(UnreadableText(result, words));
  if (const std::string what = PartRowsLost(result.assumed); !what.empty()) {
    pieces.push_back(words.Fill("summary.lost.parts", {{"what", Quoted(what)}}));
  }
  pieces.push_back(TimesText(result, words));
  if (const std::string what = LogGuesses(result.assumed); !what.empty()) {
    pieces.push_back(words.Fill("summary.guessed.log", {{"what", Quoted(what)}}));
  }
  std::string text;
  for (const std::string& piece : pieces) {
    if (!piece.empty()) text += (text.empty() ? "" : "; ") + piece;
  }
  return text.empty() ? text : words.Fill("summary.lost", {{"text", text}});
}

std::string EmissivityNote(const LocateResult& result, const Words& words) {
  if (result.values != FrameValues::kKelvin) return {};
  const std::vector<Remark>& said = result.advice;
  if (std::any_of(said.begin(), said.end(), IsOf(RemarkKind::kRegionsUntied))) return {};
  const auto told = EmissivityOfRegions(result.assumed);
  if (!told) return {};
  const std::string places =
      told->places.empty() ? words.Get("summary.regions") : Quoted(told->places);
  const std::string least = DigitsText(told->least, kDigits, words);
  const std::string most = DigitsText(told->most, kDigits, words);
  const std::string values =
      least == most ? least : words.Fill("summary.span", {{"least", least}, {"most", most}});
  return words.Fill("summary.emissivity", {{"values", values}, {"places", places}});
}

}  // namespace ohmglow::internal
