// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "ohmglow/check/registration_check.h"
#include "ohmglow/words/words.h"

namespace ohmglow {

/// align.json (schema 1), two-space indented, a newline at the end. Unknown
/// numbers are absent.
[[nodiscard]] std::string ToCheckJson(const RegistrationCheck& check);

/// At most 15 lines for the terminal, 100 columns at most.
[[nodiscard]] std::string ToCheckSummary(const RegistrationCheck& check,
                                         const Words& words = Words::Report());

/// One picture that tells whether the frames lie on each other: a row and a
/// column of the picture through time, as filmed and registered; the motion;
/// what is left at edges; and the frame's outlines on the photo.
/// @param photo  8-bit BGR, may be empty.
/// @return       8-bit BGR, 1600 pixels wide.
[[nodiscard]] cv::Mat DrawCheck(const RegistrationCheck& check,
                                const cv::Mat& photo,
                                const Words& words = Words::Report());

}  // namespace ohmglow
