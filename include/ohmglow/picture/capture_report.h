// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/check/capture_check.h"
#include "ohmglow/input/file_notes.h"
#include "ohmglow/words/words.h"

namespace ohmglow {

/// For the terminal: one line that says whether the capture is usable, then a
/// table of what was understood and found, then what to do again and why. 100
/// columns at most.
[[nodiscard]] std::string ToCaptureText(const CaptureCheck& check,
                                        const std::vector<FileNote>& files,
                                        const Words& words = Words::Report());

/// The same as JSON (check.json, schema 1), two-space indented, a newline at the
/// end. Unknown numbers are absent.
[[nodiscard]] std::string ToCaptureJson(const CaptureCheck& check,
                                        const std::vector<FileNote>& files);

}  // namespace ohmglow
