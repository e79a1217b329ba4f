// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/compare/compare.h"

namespace ohmglow::internal {

/// Whether no map was made: neither capture was heated, regions were asked for.
[[nodiscard]] bool OnlyRegions(const CompareResult& result);

/// The answer with its probability: "Repaired: the fault's heat is gone
/// (very likely, 94 %)". An undecided one has none.
[[nodiscard]] std::string CompareHeadline(const CompareResult& result);

/// The sentences that came with the result, cleaned.
[[nodiscard]] std::vector<std::string> CompareSentences(const CompareResult& result);

/// "gone", "weaker", "unchanged", "stronger", "new", "unknown"; "not seen" for
/// an unknown place where the second map has no value.
[[nodiscard]] std::string_view ChangeWord(const CompareResult& result, const ComparedPlace& place);

/// As PlaceName(): "C41 or C42", "at 41.2, 30.6 mm", "at pixel 131, 78".
[[nodiscard]] std::string ComparedPlaceName(const CompareResult& result,
                                            const ComparedPlace& place);

/// "94 %" or "over 99 %", how sure the change is; empty where it is unknown.
[[nodiscard]] std::string ChangePercent(const ComparedPlace& place);

/// "A", "B", ..., cleaned.
[[nodiscard]] std::string PlaceLetter(const ComparedPlace& place);

/// "520 mW (430 to 630)"; "nothing seen" for a new place, "unknown".
[[nodiscard]] std::string BeforePower(const ComparedPlace& place);

/// "210 mW (180 to 240)" or "below 1.8 mW at 1 A, 95 %"; "not seen", "unknown".
/// No power that was worked out from an unknown change.
[[nodiscard]] std::string AfterPower(const CompareResult& result, const ComparedPlace& place);

/// "41 % (±6) of before", where a ratio is known and the place not gone; else empty.
[[nodiscard]] std::string RatioText(const ComparedPlace& place);

/// " at 1.5 A"; empty where the current is unknown.
[[nodiscard]] std::string AtCurrent(const CompareResult& result);

/// That watts of the second capture stand for the current of the first; empty where those are
/// alike.
[[nodiscard]] std::string CurrentText(const CompareResult& result);

/// One sentence on the supply's resistance, then the remark; empty where nothing is known.
[[nodiscard]] std::string ResistanceText(const ResistanceChange& resistance);

/// One sentence on how the views were laid on each other; empty where they were not.
[[nodiscard]] std::string RegistrationText(const CompareResult& result);

/// What the cells of RegionCells() are, with units.
[[nodiscard]] std::vector<std::string> RegionHeads();

/// Name; "before → after" of the mean; its change with 95 % limits; then maximum,
/// spread and quarters. "–" stands for what was not seen.
[[nodiscard]] std::vector<std::string> RegionCells(const ComparedRegion& region);

}  // namespace ohmglow::internal
