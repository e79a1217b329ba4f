// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "ohmglow/result.h"
#include "ohmglow/words/words.h"

namespace ohmglow {

/// The words of result.json: found, several, none.
[[nodiscard]] std::string_view VerdictKey(Verdict verdict);

/// The words of result.json: near, far, undecided.
[[nodiscard]] std::string_view SideKey(HeatSide side);

/// result.json (schema 1), two-space indented, a newline at the end. Unknown
/// numbers are absent. Text from files is escaped and cut at 200 characters.
[[nodiscard]] std::string ToJson(const LocateResult& result);

/// The same for somebody's eyes: remarks, advice and what was asked in another language. Not to
/// be kept: FromJson() knows evidence by its English name.
[[nodiscard]] std::string ToJson(const LocateResult& result, const Words& words);

/// Reads result.json back. Images, maps, the frames' motion and what screening
/// found stay empty; but for the latter ToJson() of what comes back gives the
/// same text.
/// @param name  of the file, for messages.
/// @throws InputError  naming file and key.
[[nodiscard]] LocateResult FromJson(const std::string& text, const std::string& name);

/// motion.csv: one row a frame of the capture.
[[nodiscard]] std::string ToMotionCsv(const Alignment& alignment);

/// What speaks for one place against another, as a table for the terminal: every
/// piece of evidence with the factor it gives to each, what parts them most
/// first; then the remarks on both. 100 columns at most.
/// @param place, against  ranks, from 1.
/// @throws OptionError  where the result lists no such place.
/// @throws DataError    where it holds no evidence (of an older version).
[[nodiscard]] std::string ToWhy(const LocateResult& result,
                                std::size_t place,
                                std::size_t against,
                                const Words& words = Words::Report());

/// The same of one place alone, for a result that lists no other.
[[nodiscard]] std::string ToWhy(const LocateResult& result,
                                std::size_t place,
                                const Words& words = Words::Report());

/// All advice, the most urgent first, for the terminal: 100 columns at most.
[[nodiscard]] std::string ToAdvice(const LocateResult& result,
                                   const Words& words = Words::Report());

/// At most 15 lines for the terminal, plain words, 100 columns at most.
[[nodiscard]] std::string ToSummary(const LocateResult& result,
                                    const Words& words = Words::Report());

}  // namespace ohmglow
