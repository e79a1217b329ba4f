// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/result.h"

namespace ohmglow::internal {

/// Below this confidence a place is shown, but as one that is not the fault.
inline constexpr double kLeastFaultProb = 0.2;

/// How sure a probability is: kAlmostCertain from 0.95, kVeryLikely from 0.8,
/// kLikely from 0.6, kPossible from 0.35, else kUnlikely, also where it is
/// unknown (not finite). The bounds are this program's own.
enum class Certainty { kAlmostCertain, kVeryLikely, kLikely, kPossible, kUnlikely };
[[nodiscard]] Certainty CertaintyOf(double prob);

/// The least probability of a word; 0 for kUnlikely.
[[nodiscard]] double LeastProb(Certainty certainty);

/// The same in words: "almost certain", "very likely", "likely", "possible",
/// "unlikely"; "unknown" where it is.
[[nodiscard]] std::string_view ConfidenceWord(double prob);

/// "very likely, 94 %"; never 0 % or 100 %, which nothing measured can be.
[[nodiscard]] std::string ConfidenceText(double prob);

/// "this side", "other side" or "side unknown", seen from the camera.
[[nodiscard]] std::string_view SideWords(HeatSide side);

/// Whether the place is drawn as one that may be the fault.
[[nodiscard]] bool MayBeFault(const LocateResult& result, const Candidate& candidate);

/// What a place is called after: no part, one, one that is only a landmark (the
/// parts named are it with less than one half), a second one perhaps
/// (kSecondPartProb), either (kOtherPartProb). The same on every page.
enum class PartNaming { kNone, kOne, kNear, kPerhaps, kEither };
struct NamedParts {
  PartNaming naming = PartNaming::kNone;
  std::string first;   ///< Cleaned, cut.
  std::string second;  ///< Empty where not named.
};
[[nodiscard]] NamedParts PartsToName(const Candidate& candidate);

/// "C41", "near C41", "C41 (perhaps C42)", "C41 or C42", "at 41.2, 30.6 mm"
/// without a part, "at pixel 131, 78" without a board map.
/// The heat of a lead's contact: "lead contact PC1".
[[nodiscard]] std::string PlaceName(const Candidate& candidate);

/// Said of places where no fault was seen.
inline constexpr std::string_view kNoFaultWords = "probably no fault";

/// Whether the heat of a place is the supply's, as far as was asked.
[[nodiscard]] bool FollowsSupply(const Candidate& candidate);

/// What a result of steps that the frames alone show says first.
[[nodiscard]] std::string FoundStepsWords();

/// What a result of relative frames says first.
[[nodiscard]] std::string RelativeWords();

/// "21 mW (11 to 41)"; "rise 42 % of the largest" where no watts are known; or that it is no heat
/// of the supply: then watts mean nothing.
[[nodiscard]] std::string PowerText(const Candidate& candidate);

/// The answer in one sentence, without what was measured.
[[nodiscard]] std::string VerdictText(const LocateResult& result);

/// The second sentence: power and side of what may be the fault, or where there
/// is none the least power that would have been seen. May be empty.
[[nodiscard]] std::string VerdictDetail(const LocateResult& result);

/// The remark that speaks most plainly against a place: the first that speaks against it,
/// else the first. Null without remarks.
[[nodiscard]] const Remark* DoubtRemark(const Candidate& candidate);

/// The advice: what makes the answer doubtful, then cautions, then the next step, then what
/// warns, then the rest.
[[nodiscard]] bool IsCaution(const Remark& advice);
[[nodiscard]] std::vector<Remark> SortedAdvice(const LocateResult& result);

}  // namespace ohmglow::internal
