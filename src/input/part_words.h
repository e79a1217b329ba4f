// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ohmglow/input/case.h"
#include "unit_words.h"

namespace ohmglow {

/// What a column of a placement list holds.
enum class PartQuantity {
  kNone,
  kRef,
  kX,
  kY,
  kRotation,
  kSide,
  kPackage,
  kValue,
  kWidth,
  kHeight,
  kLength,  ///< The body's longer outline, or the one along its own x axis.
  kKind
};

struct PartMeaning {
  PartQuantity quantity = PartQuantity::kNone;
  std::optional<Unit> unit;
  int rank = 0;  ///< Lower goes first where several columns hold one thing: plain names first.
};
[[nodiscard]] PartMeaning ReadPartHeader(std::string_view cell, std::string_view unit_cell);
[[nodiscard]] bool KnowsPartHeader(std::string_view cell);

/// top, T, front, component side, oben ...; nothing for numbers and other words.
[[nodiscard]] std::optional<BoardSide> ParseLooseSide(std::string_view word);

/// "C12", "R7A", "LED3": how parts are named on boards (letters of IEC 81346-2, common practice).
[[nodiscard]] bool LooksLikeRef(std::string_view cell);

/// Kind by the letters of a reference (common practice, no source): C12 is a
/// capacitor. Empty for letters that stand for nothing.
[[nodiscard]] std::string KindOfRef(std::string_view ref);

}  // namespace ohmglow
