// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

namespace ohmglow {

/// How the numbers of a table of values are written.
struct NumberStyle {
  char delimiter = ',';  ///< ',', ';', '\t' or ' ' (any run of blanks).
  bool decimal_comma = false;
};

/// The style of one line of numbers. A comma is the delimiter where it stands
/// alone, and the decimal sign where another one parts the numbers.
[[nodiscard]] NumberStyle TellStyle(std::string_view line);

/// Reads a line of numbers; cells may carry a unit ("25.3 C"), stand in quotes, be
/// empty or say that there is no value (nan, -, n/a: these give NaN).
/// @param most   room in `values`.
/// @return  the number of cells; -1 where one is neither number nor empty, or where
///          none is a number; more than `most` where there is no room.
[[nodiscard]] int ReadNumbers(std::string_view line, NumberStyle style, float* values, int most);

}  // namespace ohmglow
