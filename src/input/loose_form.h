// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
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

/// Which cells are words of a header. Remembers them: columns repeat their words, and each
/// delimiter and encoding that is tried shows most of them again.
class HeaderWords {
 public:
  explicit HeaderWords(bool (*knows)(std::string_view cell)) : knows_(knows) {}
  [[nodiscard]] bool Knows(const std::string& cell);

 private:
  bool (*knows_)(std::string_view cell);
  std::unordered_map<std::string, bool> asked_;
};

/// Tries every delimiter on the beginning of a text. The best has the most
/// known words in its header, then the most rows as wide as that, then the
/// most cells that are numbers or times.
/// @throws InputError  none makes a table of it, or two do equally well.
[[nodiscard]] TableForm FindForm(std::string_view text,
                                 const std::string& name,
                                 const LooseOptions& options,
                                 HeaderWords& words);

/// The form of a text whose delimiter is known; nothing where it makes no table of it.
[[nodiscard]] std::optional<TableForm> FormParted(std::string_view text,
                                                  char delimiter,
                                                  HeaderWords& words);

/// The cells of a header, a comment sign before it and empty ones at its end left out.
[[nodiscard]] std::vector<std::string> HeaderCells(const LooseRow& row);

/// Makes one cell of a date and a time of day that stand side by side.
void JoinStamp(LooseRow& row);

}  // namespace ohmglow
