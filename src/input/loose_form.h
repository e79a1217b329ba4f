// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "loose_table.h"

namespace ohmglow {

/// How a text is a table.
struct TableForm {
  char delimiter = ',';
  std::optional<std::size_t> first_row;  ///< Of the rows as split: the header, else the first data.
  bool has_header = false;
  bool stamp_in_two = false;  ///< A date and a time of day are two cells of one column.
  int known = 0;              ///< Cells of the header that the reader knows.
};

/// Tries every delimiter on the beginning of a text. The best has the most
/// known words in its header, then the most rows as wide as that, then the
/// most cells that are numbers or times.
/// @throws InputError  none makes a table of it, or two do equally well.
[[nodiscard]] TableForm FindForm(std::string_view text,
                                 const std::string& name,
                                 const LooseOptions& options);

/// The cells of a header, a comment sign before it and empty ones at its end left out.
[[nodiscard]] std::vector<std::string> HeaderCells(const LooseRow& row);

/// Makes one cell of a date and a time of day that stand side by side.
void JoinStamp(LooseRow& row);

}  // namespace ohmglow
