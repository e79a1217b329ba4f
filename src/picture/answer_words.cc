// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/answer_words.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "ohmglow/base/remark_kind.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/words/say.h"
#include "rank/advice.h"
#include "rank/verdict_rules.h"
#include "twosided/pair_odds.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kNameChars = 24;
constexpr std::size_t kSentenceChars = 400;
constexpr std::size_t kNamedFaults = 3;
constexpr std::size_t kNamedParts = 3;

struct Step {
  double least_prob;
  Certainty certainty;
  std::string_view key;
};

constexpr std::array<Step, 5> kSteps{{{0.95, Certainty::kAlmostCertain, "almost_certain"},
                                      {0.80, Certainty::kVeryLikely, "very_likely"},
                                      {kFaultConfidence, Certainty::kLikely, "likely"},
                                      {kPossibleConfidence, Certainty::kPossible, "possible"},
                                      {-1, Certainty::kUnlikely, "unlikely"}}};

const Step& StepFor(double prob) {
  const auto* const step = std::find_if(
      kSteps.begin(), kSteps.end(), [&](const Step& s) { return prob >= s.least_prob; });
  return step == kSteps.end() ? kSteps.back() : *step;
}

std::string Headline(double prob, const std::string& places, const Words& words) {
  return words.Fill("headline." + std::string(StepFor(prob).key), {{"places", places}});
}

// The places that may be faults, best first.
std::vector<const Candidate*> Faults(const LocateResult& result) {
  std::vector<const Candidate*> faults;
  for (const Candidate& candidate : result.candidates) {
    if (MayBeFault(result, candidate) && faults.size() < kNamedFaults) faults.push_back(&candidate);
  }
  return faults;
}

// A part's name, and that it sits on the side that was not filmed: heat shows through a board.
std::string WithSide(const std::string& part, bool is_far, bool in_brackets, const Words& words) {
  if (!is_far) return part;
  return words.Fill(in_brackets ? "place.other_side_in_brackets" : "place.other_side",
                    {{"part", part}});
}

std::string FirstWithSide(const NamedParts& parts, const Words& words) {
  return WithSide(parts.first, parts.first_is_far, false, words);
}

// In a list of places "or" would be read as one of them.
std::string NameInList(const Candidate& candidate, const Words& words) {
  const NamedParts parts = PartsToName(candidate);
  const bool either = !candidate.contact && parts.naming == PartNaming::kEither;
  if (!either) return PlaceName(candidate, words);
  return words.Fill("place.either_in_list",
                    {{"part", FirstWithSide(parts, words)},
                     {"other", WithSide(parts.second, parts.second_is_far, true, words)}});
}

// Sure ones are named as faults, the others as what may come on top.
std::string SeveralText(const std::vector<const Candidate*>& faults, const Words& words) {
  std::vector<std::string> sure;
  std::vector<std::string> perhaps;
  for (const Candidate* fault : faults) {
    const bool is_sure = sure.empty() || fault->confidence >= LeastProb(Certainty::kVeryLikely);
    (is_sure ? sure : perhaps).push_back(NameInList(*fault, words));
  }
  const std::string listed = ListText(sure, words);
  const std::string headline = sure.size() > 1
                                   ? words.Fill("headline.several", {{"places", listed}})
                                   : Headline(faults[0]->confidence, listed, words);
  if (perhaps.empty()) return words.Fill("headline.ends", {{"headline", headline}});
  return words.Fill("headline.perhaps_also",
                    {{"headline", headline}, {"places", ListText(perhaps, words)}});
}

bool HasName(const Candidate& candidate) {
  return candidate.contact || PartsToName(candidate).naming != PartNaming::kNone;
}

// Heat that asks to be looked at first: "no fault seen" beside that would be no answer.
bool PassesOverHeat(const LocateResult& result) {
  return std::any_of(result.advice.begin(), result.advice.end(), [](const Remark& remark) {
    return remark.kind == RemarkKind::kPassedOver ||
           remark.kind == RemarkKind::kPassedOverRelative ||
           remark.kind == RemarkKind::kPassedOverUnlisted ||
           remark.kind == RemarkKind::kPassedOverUnlistedRelative;
  });
}

std::string DetailOfNone(const LocateResult& result, const Words& words) {
  if (!std::isfinite(result.detectable_w) || result.detectable_w <= 0) return {};
  const std::string text =
      words.Fill("detail.none", {{"power", WattsText(result.detectable_w, words)}});
  const bool mark_none = result.verdict == Verdict::kNone && !result.candidates.empty();
  if (!mark_none || PassesOverHeat(result)) return text;
  return text + " " +
         words.Get(result.candidates.size() == 1 ? "detail.marked_one" : "detail.marked");
}

}  // namespace

Certainty CertaintyOf(double prob) { return StepFor(prob).certainty; }

double LeastProb(Certainty certainty) {
  for (const Step& step : kSteps) {
    if (step.certainty == certainty) return std::max(step.least_prob, 0.0);
  }
  return 0;
}

std::string_view KeyOf(Certainty certainty) {
  for (const Step& step : kSteps) {
    if (step.certainty == certainty) return step.key;
  }
  return kSteps.back().key;
}

std::string ConfidenceWord(double prob, const Words& words) {
  return words.Get("certainty." +
                   (std::isfinite(prob) ? std::string(StepFor(prob).key) : "unknown"));
}

std::string ConfidencePercent(double prob, const Words& words) {
  if (!std::isfinite(prob)) return {};
  if (prob < 0.01) return words.Get("percent.under");
  if (prob > 0.99) return words.Get("percent.over");
  return words.Fill("percent", {{"percent", std::to_string(std::lround(prob * 100))}});
}

std::string ConfidenceText(double prob, const Words& words) {
  const std::string word = ConfidenceWord(prob, words);
  if (!std::isfinite(prob)) return word;
  return words.Fill("certainty.with_percent",
                    {{"certainty", word}, {"percent", ConfidencePercent(prob, words)}});
}

std::string SideWords(HeatSide side, const Words& words) {
  return words.Get("side." + std::string(SideKey(side)));
}

bool MayBeFault(const LocateResult& result, const Candidate& candidate) {
  return result.verdict != Verdict::kNone && candidate.confidence >= kLeastFaultProb;
}

NamedParts PartsToName(const Candidate& candidate) {
  NamedParts out;
  double named_prob = 0;
  for (std::size_t i = 0; i < candidate.parts.size() && i < 2; ++i) {
    const PartMatch& part = candidate.parts[i];
    const std::string ref = CleanText(part.ref, kNameChars);
    if (ref.empty() || (!out.first.empty() && part.prob < kSecondPartProb)) continue;
    named_prob += part.prob;
    const bool is_far = part.side == HeatSide::kFar;
    if (out.first.empty()) {
      out.first = ref;
      out.first_is_far = is_far;
      out.naming = PartNaming::kOne;
    } else {
      out.second = ref;
      out.second_is_far = is_far;
      out.naming = part.prob >= kOtherPartProb ? PartNaming::kEither : PartNaming::kPerhaps;
    }
  }
  if (!out.first.empty() && named_prob < kNearProb) {
    out.naming = PartNaming::kNear;
    out.second.clear();
  }
  return out;
}

std::string PlaceName(const Candidate& candidate, const Words& words) {
  // What lies beside a clip is not what warms.
  if (candidate.contact) {
    const std::string name = CleanText(*candidate.contact, kNameChars);
    return name.empty() ? words.Get("place.contact_unnamed")
                        : words.Fill("place.contact", {{"name", name}});
  }
  const NamedParts parts = PartsToName(candidate);
  const bool in_brackets = parts.naming == PartNaming::kPerhaps;
  if (in_brackets && parts.first_is_far && parts.second_is_far) {
    const std::string both =
        words.Fill("place.perhaps", {{"part", parts.first}, {"other", parts.second}});
    return WithSide(both, true, true, words);
  }
  const std::string first = FirstWithSide(parts, words);
  const Words::Values names{
      {"part", first}, {"other", WithSide(parts.second, parts.second_is_far, in_brackets, words)}};
  switch (parts.naming) {
    case PartNaming::kOne:
      return first;
    case PartNaming::kNear:
      return words.Fill("place.near", names);
    case PartNaming::kPerhaps:
      return words.Fill("place.perhaps", names);
    case PartNaming::kEither:
      return words.Fill("place.either", names);
    case PartNaming::kNone:
      break;
  }
  const auto at = [&](std::string_view key, Point p, double unit) {
    const auto text = [&](double v) { return DigitsText(std::round(v * unit) / unit, 12, words); };
    return words.Fill(key, {{"x", text(p.x)}, {"y", text(p.y)}});
  };
  if (candidate.board_mm) return at("place.at_board", *candidate.board_mm, 10);
  return at("place.at_pixel", candidate.frame_px, 1);
}

std::string PartsText(const Candidate& candidate, const Words& words) {
  const PartNaming naming = PartsToName(candidate).naming;
  if (candidate.contact || naming == PartNaming::kNone || naming == PartNaming::kOne) return {};
  std::vector<std::string> parts;
  for (const PartMatch& part : candidate.parts) {
    const bool told = std::isfinite(part.prob) && (parts.empty() || part.prob >= kSecondPartProb);
    const std::string ref = CleanText(part.ref, kNameChars);
    if (!told || ref.empty() || parts.size() == kNamedParts) continue;
    parts.push_back(words.Fill("place.part_percent",
                               {{"part", ref}, {"percent", ConfidencePercent(part.prob, words)}}));
  }
  return parts.empty() ? std::string() : ListText(parts, words, "list.comma", "list.comma");
}

std::string PowerText(const Candidate& candidate, const Words& words) {
  if (!FollowsSupply(candidate)) return words.Get("power.none");
  if (!std::isfinite(candidate.power_w)) {
    if (!std::isfinite(candidate.rise_k)) return words.Get("power.unknown");
    return words.Fill("power.relative",
                      {{"percent", DigitsText(100 * candidate.rise_k, 2, words)}});
  }
  return WattsRangeText(candidate.power_w, candidate.power_low_w, candidate.power_high_w, words);
}

std::string VerdictText(const LocateResult& result, const Words& words) {
  if (result.verdict == Verdict::kNone) {
    if (!result.verdict_reason.empty()) {
      return CleanText(Say(result.verdict_reason, words), kSentenceChars);
    }
    return words.Get(PassesOverHeat(result) ? "headline.unclear" : "headline.none");
  }
  const std::vector<const Candidate*> faults = Faults(result);
  if (faults.empty()) return words.Get("headline.unclear");
  if (result.verdict == Verdict::kSeveral && faults.size() > 1) return SeveralText(faults, words);
  std::string place = PlaceName(*faults[0], words);
  if (!HasName(*faults[0])) place = words.Fill("place.unnamed", {{"place", place}});
  return words.Fill("headline.ends", {{"headline", Headline(faults[0]->confidence, place, words)}});
}

Remark StepsRemark(const LocateResult& result) {
  const std::vector<Remark>& remarks = result.supply_remarks;
  const auto other =
      std::find_if(remarks.begin(), remarks.end(), IsOf(RemarkKind::kLevelsDoNotFit));
  return other == remarks.end() ? Remark() : *other;
}

std::string StepsText(const LocateResult& result, const Words& words) {
  const Remark other = StepsRemark(result);
  return other.empty() ? words.Get("answer.found_steps") : Say(other, words);
}

std::string VerdictDetail(const LocateResult& result, const Words& words) {
  if (result.verdict == Verdict::kNone && !result.verdict_reason.empty()) return {};
  const std::vector<const Candidate*> faults = Faults(result);
  const bool several = result.verdict == Verdict::kSeveral && faults.size() > 1;
  if (result.values == FrameValues::kRelative) {
    if (faults.empty() || several) return words.Get("detail.none_relative");
    return words.Get("detail." + std::string(SideKey(faults[0]->side)) + "_relative");
  }
  if (faults.empty()) return DetailOfNone(result, words);
  if (!several) {
    return words.Fill("detail." + std::string(SideKey(faults[0]->side)),
                      {{"power", WattsText(faults[0]->power_w, words)}});
  }
  std::vector<std::string> powers;
  for (const Candidate* fault : faults) powers.push_back(WattsText(fault->power_w, words));
  return words.Fill("detail.several", {{"powers", ListText(powers, words)}});
}

std::string EvidenceWords(const Evidence& evidence, const Words& words) {
  if (evidence.name.starts_with(kBehind)) {
    const std::string what = evidence.name.substr(kBehind.size());
    return words.Fill("evidence.behind", {{"what", EvidenceWords({what}, words)}});
  }
  std::string key = "evidence." + evidence.name;
  std::replace(key.begin(), key.end(), ' ', '_');
  // What an older version asked keeps its name.
  return words.Has(key) ? words.Get(key) : evidence.name;
}

const Remark* DoubtRemark(const Candidate& candidate) {
  if (candidate.remarks.empty()) return nullptr;
  const auto found =
      std::find_if(candidate.remarks.begin(), candidate.remarks.end(), [](const Remark& remark) {
        return NatureOf(remark.kind) == RemarkNature::kAgainst;
      });
  return found == candidate.remarks.end() ? &candidate.remarks.front() : &*found;
}

bool IsCaution(const Remark& advice) { return NatureOf(advice.kind) == RemarkNature::kCaution; }

std::vector<Remark> SortedAdvice(const LocateResult& result) {
  std::vector<Remark> advice = result.advice;
  const auto is = [](RemarkNature nature) {
    return [nature](const Remark& remark) { return NatureOf(remark.kind) == nature; };
  };
  // What makes the answer itself doubtful goes first; then cautions, before what they are about.
  const auto sure =
      std::stable_partition(advice.begin(), advice.end(), is(RemarkNature::kUndermines));
  const auto rest = std::stable_partition(sure, advice.end(), IsCaution);
  if (rest != advice.end()) {
    std::stable_partition(rest + 1, advice.end(), is(RemarkNature::kWarns));
  }
  return advice;
}

}  // namespace ohmglow::internal
