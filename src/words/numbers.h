// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/words/words.h"

namespace ohmglow::internal {

/// A number written with a point, with the decimal sign of the language.
[[nodiscard]] std::string WithDecimalSign(std::string number, const Words& words);

/// A number in one of the forms that say.h lists, decimal sign and all.
[[nodiscard]] std::string FormNumber(double value, std::string_view form, const Words& words);

/// FormatDigits(), FormatPower(), FormatKelvin() and FormatPowerRange() in a language: "0,5", "21
/// mW (11 bis 41)".
[[nodiscard]] std::string DigitsText(double value, int digits, const Words& words);
[[nodiscard]] std::string WattsText(double power_w, const Words& words);
[[nodiscard]] std::string KelvinText(double rise_k, const Words& words);
[[nodiscard]] std::string WattsRangeText(double power_w,
                                         double low_w,
                                         double high_w,
                                         const Words& words);

/// "a, b and c"; without items empty.
/// @param separator  of all but the last two: a key of the catalogue.
/// @param last       of the last two.
[[nodiscard]] std::string ListText(const std::vector<std::string>& items,
                                   const Words& words,
                                   std::string_view separator = "list.comma",
                                   std::string_view last = "list.and");

}  // namespace ohmglow::internal
