// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>
#include <vector>

namespace ohmglow {

/// A value in a line of text, and the words in front of it.
struct HeadingValue {
  std::string_view label;  ///< "t" of "Frame 3, t = 12.5 s"; may be empty.
  std::string_view value;  ///< A number, with a unit of time where one follows, or a date or clock.
};

/// Every value of a line above a table, in order. A digit that sticks to a letter in front of it
/// belongs to a word.
[[nodiscard]] std::vector<HeadingValue> ReadHeadingLine(std::string_view line);

}  // namespace ohmglow
