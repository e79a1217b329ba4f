// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::internal {

/// Makes text from a file safe to show: control, direction and other invisible
/// format characters go, runs of white space become one space, bytes that are
/// not UTF-8 become U+FFFD.
/// @param max_chars  code points kept; longer text ends in an ellipsis.
[[nodiscard]] std::string CleanText(std::string_view text, std::size_t max_chars);

/// The text of an error or a remark with a capital letter and a full stop.
[[nodiscard]] std::string AsSentence(std::string text);

/// Terminal columns a cleaned text takes: 2 for wide characters, 0 for
/// combining marks, else 1 (the blocks that matter, not all of Unicode TR 11).
[[nodiscard]] int NumColumns(std::string_view text);

/// Cuts a cleaned text to at most `max_columns`, the last one an ellipsis.
[[nodiscard]] std::string CutToColumns(std::string_view text, int max_columns);

/// Breaks a cleaned text at spaces into lines of at most `max_columns`; a word
/// longer than that is cut. Continued lines start with `indent` spaces.
[[nodiscard]] std::vector<std::string> WrapColumns(std::string_view text,
                                                   int max_columns,
                                                   int indent);

/// Rounds to `digits` significant decimal digits.
[[nodiscard]] double RoundDigits(double value, int digits);

/// Plain decimal notation with a point whatever the locale, without
/// superfluous zeros.
/// @param digits  significant digits; whole numbers keep all places before the point.
[[nodiscard]] std::string FormatDigits(double value, int digits);

/// "520 mW", "1.9 W", "80 µW": two significant digits.
[[nodiscard]] std::string FormatPower(double power_w);

/// The ends of an interval about a power, numbers in the unit that FormatPower() takes for it;
/// empty where there is none.
struct PowerRange {
  std::string low;
  std::string high;
};
[[nodiscard]] PowerRange SplitPowerRange(double power_w, double low_w, double high_w);

/// "520 mW (430 to 630)", all three in the unit of the first number.
[[nodiscard]] std::string FormatPowerRange(double power_w, double low_w, double high_w);

/// "3.4 K", "45 mK": two significant digits.
[[nodiscard]] std::string FormatKelvin(double rise_k);

}  // namespace ohmglow::internal
