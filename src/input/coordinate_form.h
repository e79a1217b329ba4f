// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "loose_table.h"
#include "unit_words.h"

namespace ohmglow {

/// How one column of lengths carries its unit.
struct LengthColumn {
  std::optional<Unit> unit;  ///< Of the header, or what every cell with a unit has.
  bool mixed = false;        ///< Cells with several units: one without has none.
};

/// Looks at header and cells. @param header  the header's unit.
[[nodiscard]] LengthColumn FindLengthColumn(const LooseTable& table,
                                            std::size_t column,
                                            const std::optional<Unit>& header);

/// What the numbers of a placement list mean.
struct CoordinateForm {
  Unit unit{Dimension::kLength, 1, "mm"};  ///< Of lengths that carry none.
  std::vector<std::string> guesses;
};

/// Settles decimal sign and unit of the coordinates by what makes a board of
/// them: 8 to 500 mm over all. A decimal comma and groups of thousands are a
/// factor of 1000 apart, so that at most one of them is a board where the unit
/// is known. Writes the sign into `table.decimals` where it was open.
/// @param stated  board.parts_unit
/// @throws InputError  several readings make a board, or none does.
[[nodiscard]] CoordinateForm FindCoordinateForm(LooseTable& table,
                                                const std::vector<LengthColumn>& columns,
                                                std::size_t x,
                                                std::size_t y,
                                                const std::optional<Unit>& stated);

}  // namespace ohmglow
