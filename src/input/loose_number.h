// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>

#include "unit_words.h"

namespace ohmglow {

/// What the signs of one cell say about how the table writes numbers.
enum class DecimalHint {
  kNone,         ///< No number, or neither point nor comma in it.
  kPoint,        ///< 0.5, 1,234.5, 1,234,567
  kComma,        ///< 0,5, 1.234,5, 1.234.567
  kEitherPoint,  ///< 1.234: a decimal point or a group of three
  kEitherComma,  ///< 1,234: a decimal comma or a group of three
};
[[nodiscard]] DecimalHint HintOf(std::string_view cell);

/// A finite number that fills the cell, with either decimal sign, groups of
/// three parted by the other one, a blank or an apostrophe. `decimal` ('.' or
/// ',') decides where the cell itself leaves it open (1.234, 1,234).
[[nodiscard]] std::optional<double> LooseNumber(std::string_view cell, char decimal);

/// A number with or without a unit behind it: "12.3mm", "500 mA".
struct LooseQuantity {
  double value = 0;  ///< As written.
  std::optional<Unit> unit;
};
[[nodiscard]] std::optional<LooseQuantity> ParseQuantity(std::string_view cell, char decimal);

}  // namespace ohmglow
