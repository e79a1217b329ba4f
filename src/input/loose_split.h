// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "loose_table.h"

namespace ohmglow {

/// Splits a text into rows of trimmed cells, blank rows left out. Double
/// quotes may enclose a cell as RFC 4180 has it; a quote that is not closed
/// within a few lines is a character like others (3.5" is a size). With blanks
/// as delimiter any run of blanks and tabs parts two cells, and what stands in
/// brackets goes with the word before it: "Current (mA)" is one cell. Where nearly
/// all rows name their values ("t=0.2 I=0.5"), the names are a row above the first of them.
/// @param most  rows to read.
[[nodiscard]] std::vector<LooseRow> SplitLoose(std::string_view text,
                                               char delimiter,
                                               std::size_t most);

}  // namespace ohmglow
