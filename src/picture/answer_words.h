// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/result.h"
#include "ohmglow/words/words.h"

namespace ohmglow::internal {

/// Below this confidence a place is shown, but as one that is not the fault.
inline constexpr double kLeastFaultProb = 0.2;

/// How sure a probability is: kAlmostCertain from 0.95, kVeryLikely from 0.8,
/// kLikely from kFaultConfidence, kPossible from kPossibleConfidence, else kUnlikely, also where it
/// is unknown (not finite). The bounds are this program's own.
enum class Certainty { kAlmostCertain, kVeryLikely, kLikely, kPossible, kUnlikely };
[[nodiscard]] Certainty CertaintyOf(double prob);

/// The least probability of a word; 0 for kUnlikely.
[[nodiscard]] double LeastProb(Certainty certainty);

/// "almost_certain", "very_likely", "likely", "possible", "unlikely": the last part of
/// keys of catalogues.
[[nodiscard]] std::string_view KeyOf(Certainty certainty);

// What follows says things in the words of a catalogue of reports, by default in English.

/// "almost certain", "very likely", "likely", "possible", "unlikely"; "unknown" where it is.
[[nodiscard]] std::string ConfidenceWord(double prob, const Words& words = Words::Report());

/// "94 %", "over 99 %"; never 0 % or 100 %, which nothing measured can be. Empty where
/// it is unknown.
[[nodiscard]] std::string ConfidencePercent(double prob, const Words& words = Words::Report());

/// "very likely, 94 %".
[[nodiscard]] std::string ConfidenceText(double prob, const Words& words = Words::Report());

/// "this side", "other side" or "side unknown", seen from the camera.
[[nodiscard]] std::string SideWords(HeatSide side, const Words& words = Words::Report());

/// Whether the place is drawn as one that may be the fault.
[[nodiscard]] bool MayBeFault(const LocateResult& result, const Candidate& candidate);

/// What a place is called after: no part, one, one that is only a landmark (the
/// parts named are it with less than one half), a second one perhaps
/// (kSecondPartProb), either (kOtherPartProb). The same on every page.
enum class PartNaming { kNone, kOne, kNear, kPerhaps, kEither };
struct NamedParts {
  PartNaming naming = PartNaming::kNone;
  std::string first;          ///< Cleaned, cut.
  std::string second;         ///< Empty where not named.
  bool first_is_far = false;  ///< Sits on the side that was not filmed.
  bool second_is_far = false;
};
[[nodiscard]] NamedParts PartsToName(const Candidate& candidate);

/// "C41", "near C41", "C41 (perhaps C42)", "C41 or C42", "at 41.2, 30.6 mm"
/// without a part, "at pixel 131, 78" without a board map; "near C20 (other side)" where the part
/// sits on the side that was not filmed. The heat of a lead's contact: "lead contact PC1".
[[nodiscard]] std::string PlaceName(const Candidate& candidate,
                                    const Words& words = Words::Report());

/// "C1 74 %, C2 20 %": how likely each part is the one at the place. Empty where one part alone
/// is named, or none.
[[nodiscard]] std::string PartsText(const Candidate& candidate,
                                    const Words& words = Words::Report());

/// "21 mW (11 to 41)"; "rise 42 % of the largest" where no watts are known; or that it is no heat
/// of the supply: then watts mean nothing.
[[nodiscard]] std::string PowerText(const Candidate& candidate,
                                    const Words& words = Words::Report());

/// That the steps are the frames' own and not those that were given; empty: not so.
[[nodiscard]] Remark StepsRemark(const LocateResult& result);
/// Where the steps' currents are not known: why, and what the answer lacks.
[[nodiscard]] std::string StepsText(const LocateResult& result,
                                    const Words& words = Words::Report());

/// The answer in one sentence, without what was measured.
[[nodiscard]] std::string VerdictText(const LocateResult& result,
                                      const Words& words = Words::Report());

/// The second sentence: power and side of what may be the fault, or where there
/// is none the least power that would have been seen. May be empty.
[[nodiscard]] std::string VerdictDetail(const LocateResult& result,
                                        const Words& words = Words::Report());

/// What was asked of a place, in the words of a language.
[[nodiscard]] std::string EvidenceWords(const Evidence& evidence,
                                        const Words& words = Words::Report());

/// The remark that speaks most plainly against a place: the first that speaks against it,
/// else the first. Null without remarks.
[[nodiscard]] const Remark* DoubtRemark(const Candidate& candidate);

/// The advice: what makes the answer doubtful, then cautions, then the next step, then what
/// warns, then the rest.
[[nodiscard]] bool IsCaution(const Remark& advice);
[[nodiscard]] std::vector<Remark> SortedAdvice(const LocateResult& result);

}  // namespace ohmglow::internal
