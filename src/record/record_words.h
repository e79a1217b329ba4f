// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "ohmglow/words/words.h"

namespace ohmglow::record {

/// What the recorder says, in a language; the catalogues are those of words/.
/// @throws OptionError  where there is none.
[[nodiscard]] Words RecordWords(std::string_view language = "en");

/// A number by a format of printf, with the language's decimal sign.
[[nodiscard]] std::string NumberText(const Words& words, const char* format, double value);

/// A power as it is read best: "0.45 mW", "2.1 mW", "340 mW", "1.20 W".
[[nodiscard]] std::string WattText(const Words& words, double watts);

}  // namespace ohmglow::record
