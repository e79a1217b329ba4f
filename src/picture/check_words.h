// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/check/registration_check.h"
#include "ohmglow/words/words.h"

namespace ohmglow::internal {

/// "holds", "doubtful", "fails" or "not_told".
[[nodiscard]] std::string_view VerdictKey(RegistrationVerdict verdict);

/// The answer in one sentence.
[[nodiscard]] std::string CheckHeadline(const RegistrationCheck& check,
                                        const Words& words = Words::Report());

/// What was measured, the photo's tie, and what helps where it does not hold; a
/// sentence or two each, cleaned.
[[nodiscard]] std::vector<std::string> CheckSentences(const RegistrationCheck& check,
                                                      const Words& words = Words::Report());

/// The frames that are left out, by reason: "shutter closed: 3". Reasons that
/// carry a number are counted together.
[[nodiscard]] std::vector<std::string> LeftOutByReason(const RegistrationCheck& check,
                                                       const Words& words = Words::Report());

/// "0.05 px".
[[nodiscard]] std::string FormatPx(double px, const Words& words = Words::Report());

}  // namespace ohmglow::internal
