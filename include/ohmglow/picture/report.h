// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "ohmglow/result.h"

namespace ohmglow {

/// result.json (schema 1), two-space indented, a newline at the end. Unknown
/// numbers are absent. Text from files is escaped and cut at 200 characters.
[[nodiscard]] std::string ToJson(const LocateResult& result);

/// motion.csv: one row a frame of the capture.
[[nodiscard]] std::string ToMotionCsv(const LocateResult& result);

/// At most 15 lines for the terminal, plain words, 100 columns at most.
[[nodiscard]] std::string ToSummary(const LocateResult& result);

}  // namespace ohmglow
