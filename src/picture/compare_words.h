// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/compare/compare.h"
#include "ohmglow/words/words.h"

namespace ohmglow::internal {

/// Whether no map was made: neither capture was heated, regions were asked for.
[[nodiscard]] bool OnlyRegions(const CompareResult& result);

/// The answer with its probability: "Repaired: the fault's heat is gone
/// (very likely, 94 %)". An undecided one has none.
[[nodiscard]] std::string CompareHeadline(const CompareResult& result,
                                          const Words& words = Words::Report());

/// The sentences that came with the result, cleaned.
[[nodiscard]] std::vector<std::string> CompareSentences(const CompareResult& result,
                                                        const Words& words = Words::Report());

/// "gone", "weaker", "unchanged", "stronger", "new", "unknown"; "not seen" for
/// an unknown place where the second map has no value.
[[nodiscard]] std::string ChangeWord(const CompareResult& result,
                                     const ComparedPlace& place,
                                     const Words& words = Words::Report());

/// As PlaceName(): "C41 or C42", "at 41.2, 30.6 mm", "at pixel 131, 78".
[[nodiscard]] std::string ComparedPlaceName(const CompareResult& result,
                                            const ComparedPlace& place,
                                            const Words& words = Words::Report());

/// "94 %" or "over 99 %", how sure the change is; empty where it is unknown.
[[nodiscard]] std::string ChangePercent(const ComparedPlace& place,
                                        const Words& words = Words::Report());

/// "A", "B", ..., cleaned.
[[nodiscard]] std::string PlaceLetter(const ComparedPlace& place);

/// "520 mW (430 to 630)"; "nothing seen" for a new place, "unknown".
[[nodiscard]] std::string BeforePower(const ComparedPlace& place,
                                      const Words& words = Words::Report());

/// "210 mW (180 to 240)" or "below 1.8 mW at 1 A, 95 %"; "not seen", "unknown".
/// No power that was worked out from an unknown change.
[[nodiscard]] std::string AfterPower(const CompareResult& result,
                                     const ComparedPlace& place,
                                     const Words& words = Words::Report());

/// "41 % (±6) of before", where a ratio is known and the place not gone; else empty.
[[nodiscard]] std::string RatioText(const ComparedPlace& place,
                                    const Words& words = Words::Report());

/// "1.5", the amps that all watts are scaled to; empty where they are unknown.
[[nodiscard]] std::string ScaleAmps(const CompareResult& result,
                                    const Words& words = Words::Report());

/// That watts of the second capture stand for the current of the first; empty where those are
/// alike.
[[nodiscard]] std::string CurrentText(const CompareResult& result,
                                      const Words& words = Words::Report());

/// One sentence on the supply's resistance, then the remark; empty where nothing is known.
[[nodiscard]] std::string ResistanceText(const ResistanceChange& resistance,
                                         const Words& words = Words::Report());

/// One sentence on how the views were laid on each other; empty where they were not.
[[nodiscard]] std::string RegistrationText(const CompareResult& result,
                                           const Words& words = Words::Report());

/// What the cells of RegionCells() are, with units.
[[nodiscard]] std::vector<std::string> RegionHeads(const Words& words = Words::Report());

/// Name; "before → after" of the mean; its change with 95 % limits; then maximum,
/// spread and quarters. "–" stands for what was not seen.
[[nodiscard]] std::vector<std::string> RegionCells(const ComparedRegion& region,
                                                   const Words& words = Words::Report());

}  // namespace ohmglow::internal
