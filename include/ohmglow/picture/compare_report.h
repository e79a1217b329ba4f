// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "ohmglow/compare/compare.h"
#include "ohmglow/words/words.h"

namespace ohmglow {

/// compare.json (schema 1), two-space indented, a newline at the end. Unknown
/// numbers are absent; so are "registration" where nothing was registered and
/// "maps" where only regions were compared. Text from files is escaped and cut
/// at 200 characters. Watts are those at `scale_amps_a`.
[[nodiscard]] std::string ToCompareJson(const CompareResult& result,
                                        const Words& words = Words::Report());

/// At most 15 lines for the terminal, plain words, 100 columns at most.
[[nodiscard]] std::string ToCompareSummary(const CompareResult& result,
                                           const Words& words = Words::Report());

/// Both maps side by side in the colours of one scale, BEFORE's photo (or,
/// without one, its static picture) below them, the same places marked with the
/// same letters in all three, what changed in words; at most ten places and
/// eight regions are drawn. Without maps only the words and the regions.
/// @param photo  of BEFORE, 8-bit BGR, may be empty.
/// @return       8-bit BGR.
[[nodiscard]] cv::Mat DrawCompare(const CompareResult& result,
                                  const cv::Mat& photo,
                                  const Words& words = Words::Report());

}  // namespace ohmglow
