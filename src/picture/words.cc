// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/words.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say.h"
#include "picture/text.h"
#include "rank/advice.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kNameChars = 24;
constexpr std::size_t kSentenceChars = 400;
constexpr std::size_t kNamedFaults = 3;
constexpr double kSurelyAgainst = 0.1;  // Of a factor of the odds.

struct Step {
  double least_prob;
  Certainty certainty;
  std::string_view word;
  std::string_view headline;
};

constexpr std::array<Step, 5> kConfidenceWords{
    {{0.95, Certainty::kAlmostCertain, "almost certain", "Almost certainly the fault: "},
     {0.80, Certainty::kVeryLikely, "very likely", "Very likely the fault: "},
     {0.60, Certainty::kLikely, "likely", "Likely the fault: "},
     {0.35, Certainty::kPossible, "possible", "Possibly the fault: "},
     {-1, Certainty::kUnlikely, "unlikely", "Not certain; check first: "}}};

const Step& StepFor(double prob) {
  const auto* const step = std::find_if(kConfidenceWords.begin(),
                                        kConfidenceWords.end(),
                                        [&](const Step& s) { return prob >= s.least_prob; });
  return step == kConfidenceWords.end() ? kConfidenceWords.back() : *step;
}

// The places that may be faults, best first.
std::vector<const Candidate*> Faults(const LocateResult& result) {
  std::vector<const Candidate*> faults;
  for (const Candidate& candidate : result.candidates) {
    if (MayBeFault(result, candidate) && faults.size() < kNamedFaults) faults.push_back(&candidate);
  }
  return faults;
}

// "a, b and c".
std::string Listed(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == items.size() ? " and " : ", ") + items[i];
  }
  return text;
}

// In a list of places "or" would be read as one of them.
std::string NameInList(const Candidate& candidate) {
  const NamedParts parts = PartsToName(candidate);
  const bool either = !candidate.contact && parts.naming == PartNaming::kEither;
  return either ? parts.first + " (or " + parts.second + ")" : PlaceName(candidate);
}

// Sure ones are named as faults, the others as what may come on top.
std::string SeveralText(const std::vector<const Candidate*>& faults) {
  std::vector<std::string> sure;
  std::vector<std::string> perhaps;
  for (const Candidate* fault : faults) {
    const bool is_sure = sure.empty() || fault->confidence >= LeastProb(Certainty::kVeryLikely);
    (is_sure ? sure : perhaps).push_back(NameInList(*fault));
  }
  const std::string first = sure.size() > 1 ? "More than one fault: "
                                            : std::string(StepFor(faults[0]->confidence).headline);
  return first + Listed(sure) + (perhaps.empty() ? "." : "; perhaps also " + Listed(perhaps) + ".");
}

std::string SideSentence(HeatSide side) {
  switch (side) {
    case HeatSide::kNear:
      return " and sits on the side in view.";
    case HeatSide::kFar:
      return " and sits on the side away from the camera.";
    case HeatSide::kUndecided:
      break;
  }
  return "; on which side of the board is unknown.";
}

}  // namespace

Certainty CertaintyOf(double prob) { return StepFor(prob).certainty; }

double LeastProb(Certainty certainty) {
  for (const Step& step : kConfidenceWords) {
    if (step.certainty == certainty) return std::max(step.least_prob, 0.0);
  }
  return 0;
}

std::string_view ConfidenceWord(double prob) {
  return std::isfinite(prob) ? StepFor(prob).word : "unknown";
}

std::string ConfidenceText(double prob) {
  std::string text(ConfidenceWord(prob));
  if (!std::isfinite(prob)) return text;
  if (prob < 0.01) return text + ", under 1 %";
  if (prob > 0.99) return text + ", over 99 %";
  return text + ", " + std::to_string(std::lround(prob * 100)) + " %";
}

std::string_view SideWords(HeatSide side) {
  switch (side) {
    case HeatSide::kNear:
      return "this side";
    case HeatSide::kFar:
      return "other side";
    case HeatSide::kUndecided:
      break;
  }
  return "side unknown";
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
    if (out.first.empty()) {
      out.first = ref;
      out.naming = PartNaming::kOne;
    } else {
      out.second = ref;
      out.naming = part.prob >= kOtherPartProb ? PartNaming::kEither : PartNaming::kPerhaps;
    }
  }
  if (!out.first.empty() && named_prob < kNearProb) {
    out.naming = PartNaming::kNear;
    out.second.clear();
  }
  return out;
}

std::string PlaceName(const Candidate& candidate) {
  // What lies beside a clip is not what warms.
  if (candidate.contact) {
    const std::string name = CleanText(*candidate.contact, kNameChars);
    return name.empty() ? "lead contact" : "lead contact " + name;
  }
  const NamedParts parts = PartsToName(candidate);
  switch (parts.naming) {
    case PartNaming::kOne:
      return parts.first;
    case PartNaming::kNear:
      return "near " + parts.first;
    case PartNaming::kPerhaps:
      return parts.first + " (perhaps " + parts.second + ")";
    case PartNaming::kEither:
      return parts.first + " or " + parts.second;
    case PartNaming::kNone:
      break;
  }
  const auto at = [](Point p, int digits_after) {
    const double unit = std::pow(10.0, digits_after);
    const auto text = [&](double v) { return FormatDigits(std::round(v * unit) / unit, 12); };
    return text(p.x) + ", " + text(p.y);
  };
  if (candidate.board_mm) return "at " + at(*candidate.board_mm, 1) + " mm";
  return "at pixel " + at(candidate.frame_px, 0);
}

bool FollowsSupply(const Candidate& candidate) {
  return std::none_of(
      candidate.evidence.begin(), candidate.evidence.end(), [](const Evidence& piece) {
        return piece.name == kFollowsSupply && piece.factor < kSurelyAgainst;
      });
}

std::string PowerText(const Candidate& candidate) {
  if (!FollowsSupply(candidate)) return "not heated by the supply";
  if (!std::isfinite(candidate.power_w)) {
    if (!std::isfinite(candidate.rise_k)) return "power unknown";
    return "rise " + FormatDigits(100 * candidate.rise_k, 2) + " % of the largest";
  }
  return FormatPowerRange(candidate.power_w, candidate.power_low_w, candidate.power_high_w);
}

std::string VerdictText(const LocateResult& result) {
  if (result.verdict == Verdict::kNone) {
    return result.verdict_reason.empty() ? "No fault seen."
                                         : CleanText(Say(result.verdict_reason), kSentenceChars);
  }
  const std::vector<const Candidate*> faults = Faults(result);
  if (faults.empty()) return "Heat was seen, but no place stands out as the fault.";
  if (result.verdict == Verdict::kSeveral && faults.size() > 1) return SeveralText(faults);
  const std::string name = PlaceName(*faults[0]);
  const bool is_place = name.compare(0, 3, "at ") == 0;
  return std::string(StepFor(faults[0]->confidence).headline) + (is_place ? "place " : "") + name +
         ".";
}

std::string FoundStepsWords() {
  return "When the supply was switched was found in the frames alone: places and ranks, but no "
         "currents, no exponents and no shares of its power.";
}

std::string RelativeWords() {
  return "The frames are pictures, not temperatures: places, ranks and growth, but no watts.";
}

std::string VerdictDetail(const LocateResult& result) {
  if (result.verdict == Verdict::kNone && !result.verdict_reason.empty()) return {};
  const std::vector<const Candidate*> faults = Faults(result);
  if (result.values == FrameValues::kRelative) {
    const bool one = faults.size() == 1 || (!faults.empty() && result.verdict == Verdict::kFound);
    if (!one) return "How weak a fault would show is not known from such frames.";
    return faults[0]->side == HeatSide::kUndecided ? "On which side of the board is unknown."
                                                   : "It" + SideSentence(faults[0]->side).substr(4);
  }
  if (faults.empty()) {
    if (!std::isfinite(result.detectable_w) || result.detectable_w <= 0) return {};
    const bool mark_none = result.verdict == Verdict::kNone && !result.candidates.empty();
    return "At a typical place in view, a fault above " + FormatPower(result.detectable_w) +
           " would usually have shown." +
           (!mark_none                      ? ""
            : result.candidates.size() == 1 ? " The marked place looks like something else."
                                            : " The marked places look like something else.");
  }
  if (result.verdict == Verdict::kSeveral && faults.size() > 1) {
    std::vector<std::string> powers;
    for (const Candidate* fault : faults) powers.push_back(FormatPower(fault->power_w));
    return "They take about " + Listed(powers) + ".";
  }
  return "It takes about " + FormatPower(faults[0]->power_w) + SideSentence(faults[0]->side);
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
