// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "input/case_remarks.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/words/say.h"
#include "picture/answer_words.h"
#include "picture/loss_words.h"
#include "rank/verdict_rules.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using internal::WrapColumns;
using Lines = std::vector<std::string>;

constexpr int kColumns = 100;
constexpr std::size_t kLines = 15;  // And what goes on from a line of a place.
constexpr std::size_t kPlaces = 3;
constexpr int kIndent = 3;
constexpr int kGoesOn = 5;  // Indent of a place's line that goes on.
constexpr std::size_t kNoteChars = 600;
constexpr std::size_t kSentenceChars = 400;
constexpr std::size_t kMostAbove = 3;  // Lines of notes before the last one.
constexpr double kNearlyAll = 0.9;
// The caution and the next step, and where the rest is.
constexpr std::size_t kAdviceLines = 6;

void AddWrapped(Lines& lines, const std::string& text, int indent) {
  const Lines rows = WrapColumns(text, kColumns, indent);
  lines.insert(lines.end(), rows.begin(), rows.end());
}

std::string Coordinates(const Candidate& candidate, const Words& words) {
  if (candidate.contact) return {};  // Its name says where it is.
  // Where there is no part, the name already says the place.
  const bool named = std::any_of(candidate.parts.begin(), candidate.parts.end(), [](const auto& p) {
    return !internal::CleanText(p.ref, 1).empty();
  });
  if (!named || !candidate.board_mm) return {};
  Candidate bare = candidate;
  bare.parts.clear();
  return "; " + internal::PlaceName(bare, words);
}

// How much of what the supply gave is seen here: the rest is in leads, contacts, tracks.
std::string PowerWithShare(const Candidate& candidate, const Words& words) {
  const std::string power = internal::PowerText(candidate, words);
  const bool known = candidate.share_of_supply && FollowsSupply(candidate);
  if (!known || *candidate.share_of_supply < 0.005) return power;
  const double percent = 100 * *candidate.share_of_supply;
  return words.Fill("summary.share",
                    {{"power", power}, {"percent", internal::DigitsText(percent, 2, words)}});
}

bool IsSame(const Remark* a, const Remark* b) {
  return a == b || (a != nullptr && b != nullptr && *a == *b);
}

// How sure each is: the place, and the part there. Empty where the place has one part or none.
std::string WhichPart(const LocateResult& result, const Candidate& place, const Words& words) {
  const std::string parts = internal::PartsText(place, words);
  if (parts.empty() || !internal::MayBeFault(result, place)) return {};
  return words.Fill(
      "summary.parts",
      {{"percent", internal::ConfidencePercent(place.confidence, words)}, {"parts", parts}});
}

// The place's own line.
std::string PlaceLine(const LocateResult& result,
                      std::size_t index,
                      const std::string& end,
                      const Words& words) {
  const Candidate& candidate = result.candidates[index];
  const bool none = result.verdict == Verdict::kNone;
  const auto line = [&](const std::string& power) {
    return words.Fill(
        "summary.place",
        {{"rank", std::to_string(index + 1)},
         {"place", internal::PlaceName(candidate, words)},
         {"certainty",
          none ? words.Get("no_fault") : internal::ConfidenceText(candidate.confidence, words)},
         {"power", power},
         {"side", internal::SideWords(candidate.side, words)}});
  };
  // The share and the coordinates stand in result.json as well: they go first where the line is
  // full.
  std::string text = line(PowerWithShare(candidate, words));
  if (internal::NumColumns(text + end) > kColumns)
    text = line(internal::PowerText(candidate, words));
  const std::string with_place = text + Coordinates(candidate, words) + end;
  const bool fits = internal::NumColumns(with_place) <= kColumns;
  return fits ? with_place : text + end;
}

// @return  how many lines it took beyond the two that a place has.
std::size_t AddPlace(Lines& lines,
                     const LocateResult& result,
                     std::size_t index,
                     const Words& words) {
  const std::size_t before = lines.size();
  const Candidate& candidate = result.candidates[index];
  const Remark* doubt = internal::DoubtRemark(candidate);
  // What holds of several places is said once.
  std::size_t first = 0;
  while (first < index && !IsSame(internal::DoubtRemark(result.candidates[first]), doubt)) ++first;
  const bool again = doubt != nullptr && first < index;
  const std::string end =
      again ? "; " + words.Fill("summary.same_doubt", {{"place", std::to_string(first + 1)}}) : "";
  AddWrapped(lines, PlaceLine(result, index, end, words), kGoesOn);
  const std::string indent(kIndent, ' ');
  const std::string which = WhichPart(result, candidate, words);
  if (!which.empty()) AddWrapped(lines, indent + which, kGoesOn);
  if (doubt != nullptr && !again) {
    const std::string sentence = internal::CleanText(Say(*doubt, words), kSentenceChars);
    AddWrapped(lines, indent + sentence, kGoesOn);
  }
  return lines.size() > before + 2 ? lines.size() - before - 2 : 0;
}

// What the user may set right at once: currents and times that cannot be, a photo or a list that
// lies nowhere, or where the program laid the list, on which all names rest.
bool IsNote(const Remark& remark) {
  constexpr std::array kNotes = {RemarkKind::kColumnsPerhapsSwapped,
                                 RemarkKind::kLevelsDoNotFit,
                                 RemarkKind::kLevelsNotSeen,
                                 RemarkKind::kLevelsHardlyTold,
                                 RemarkKind::kLevelWithoutTrace,
                                 RemarkKind::kSpansDiffer,
                                 RemarkKind::kPhotoNotLaid,
                                 RemarkKind::kPartsNotTied,
                                 RemarkKind::kListPerhapsOther,
                                 RemarkKind::kPartsLaidOnPhoto,
                                 RemarkKind::kPartsLaidOnFrames};
  return std::find(kNotes.begin(), kNotes.end(), remark.kind) != kNotes.end();
}

// It stands before the places.
std::string NotUsedText(const NotUsed& file, const Words& words) {
  return words.Fill("summary.not_used", {{"what", Say(file.what, words)}, {"why", file.why}});
}

void AddNote(Lines& lines, const std::string& note, const Words& words) {
  if (note.empty()) return;
  const std::string text = internal::CleanText(note, kNoteChars);
  AddWrapped(lines, words.Fill("summary.note", {{"text", text}}), kIndent);
}

// What the headline says already: that the levels are other ones, or that they were not seen.
bool IsHeadline(const Remark& remark, const LocateResult& result) {
  return remark == internal::StepsRemark(result) ||
         (remark.kind == RemarkKind::kLevelsNotSeen &&
          result.verdict_reason.kind == RemarkKind::kSwitchingNotSeen);
}

// Returns the remarks that need not be said again.
std::vector<Remark> AddNotes(Lines& lines, const LocateResult& result, const Words& words) {
  std::vector<Remark> said;
  const std::size_t above = lines.size();
  const auto add = [&](const std::string& note) {
    if (lines.size() - above >= kMostAbove) return false;
    AddNote(lines, note, words);
    return true;
  };
  const auto add_all = [&](const std::vector<Remark>& remarks) {
    for (const Remark& remark : remarks) {
      if (!IsNote(remark)) continue;
      if (IsHeadline(remark, result) || add(Say(remark, words))) said.push_back(remark);
    }
  };
  add_all(result.supply_remarks);
  for (const NotUsed& file : ListNotUsed(result.assumed)) add(NotUsedText(file, words));
  add_all(result.maps.remarks);
  AddNote(lines, internal::LossNote(result, words), words);
  AddNote(lines, internal::EmissivityNote(result, words), words);
  return said;
}

// Where the supply's watts go, once a place is named; empty where that is not known.
std::string BudgetLine(const LocateResult& result, const Words& words) {
  if (result.verdict == Verdict::kNone || !result.supply_path) return {};
  const SupplyPath& path = *result.supply_path;
  const double whole_w = path.drop_w() + path.ohmic_w();
  const double share = result.FaultWatts() / whole_w;
  if (!(whole_w > 0) || share > kNearlyAll) return {};
  return words.Fill("summary.budget",
                    {{"power", internal::WattsText(whole_w, words)},
                     {"amps", internal::DigitsText(path.top_amps_a, 2, words)},
                     {"percent", internal::DigitsText(100 * share, 1, words)}});
}

// As many pieces of advice as fit whole; the last line says where the rest is. Cautions and the
// first step to take stand in any case: without them the rest is of no use.
void AddAdvice(Lines& lines,
               const std::vector<Remark>& advice,
               std::size_t most_lines,
               const Words& words) {
  struct Piece {
    Lines rows;
    bool is_needed;
  };
  std::vector<Piece> pieces;
  std::size_t needed = 0;
  std::size_t of_needed = 0;  // Rows of those not printed yet: they must have room.
  bool has_step = false;
  for (const Remark& remark : advice) {
    const std::string sentence =
        internal::AsSentence(internal::CleanText(Say(remark, words), kSentenceChars));
    if (sentence.empty()) continue;
    const bool is_step = !has_step && !internal::IsCaution(remark) &&
                         NatureOf(remark.kind) != RemarkNature::kUndermines;
    has_step = has_step || is_step;
    pieces.push_back(
        {WrapColumns("- " + sentence, kColumns, 2), is_step || internal::IsCaution(remark)});
    needed += pieces.back().rows.size();
    if (pieces.back().is_needed) of_needed += pieces.back().rows.size();
  }
  if (pieces.empty()) return;
  lines.push_back(words.Get("summary.next"));
  const bool all = lines.size() + needed <= most_lines;
  for (const auto& [rows, is_needed] : pieces) {
    if (is_needed) of_needed -= rows.size();
    const bool fits = lines.size() + rows.size() + of_needed + 1 <= most_lines;
    if (!all && !fits && !is_needed && of_needed > 0) continue;
    if (!all && !fits && !is_needed) break;
    lines.insert(lines.end(), rows.begin(), rows.end());
  }
  if (!all) lines.push_back(words.Get("summary.more_advice"));
}

}  // namespace

std::string ToAdvice(const LocateResult& result, const Words& words) {
  Lines lines;
  for (const Remark& remark : internal::SortedAdvice(result)) {
    const std::string sentence =
        internal::AsSentence(internal::CleanText(Say(remark, words), kSentenceChars));
    if (!sentence.empty()) AddWrapped(lines, "- " + sentence, 2);
  }
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

std::string ToSummary(const LocateResult& result, const Words& words) {
  Lines lines = WrapColumns(
      internal::VerdictText(result, words) + " " + internal::VerdictDetail(result, words),
      kColumns,
      0);
  if (result.values == FrameValues::kRelative) {
    lines.insert(lines.begin(), words.Get("answer.relative"));
  }
  if (!result.currents_known) {
    const auto rows = WrapColumns(internal::StepsText(result, words), kColumns, 0);
    lines.insert(lines.begin(), rows.begin(), rows.end());
  }
  // Beyond the usual lines: they must cost no caution its place.
  const std::size_t without_notes = lines.size();
  const std::vector<Remark> said = AddNotes(lines, result, words);
  std::size_t most_lines = kLines + lines.size() - without_notes;
  for (std::size_t i = 0; i < std::min(result.candidates.size(), kPlaces); ++i) {
    most_lines += AddPlace(lines, result, i, words);
  }
  if (result.candidates.size() > kPlaces) {
    const std::size_t more = result.candidates.size() - kPlaces;
    lines.push_back(words.Fill("summary.weaker", {{"count", std::to_string(more)}}));
  }
  const std::string budget = BudgetLine(result, words);
  if (!budget.empty() && lines.size() + 1 + kAdviceLines <= most_lines) {
    AddWrapped(lines, budget, kIndent);
  }
  std::vector<Remark> advice = internal::SortedAdvice(result);
  std::erase_if(advice, [&](const Remark& remark) {
    return std::find(said.begin(), said.end(), remark) != said.end();
  });
  AddAdvice(lines, advice, most_lines, words);
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

}  // namespace ohmglow
