// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loose_table.h"
#include "part_words.h"

namespace ohmglow {

struct PartColumns {
  std::vector<PartMeaning> meanings;  ///< One a column of the table.
  std::vector<std::string> guesses;
};

/// What the columns of a placement list hold: by their headers, then as
/// `stated` says ("ref=Name, x=Lage X, y=3", by name or number from 1). Where no
/// header names the references, the only column whose cells look like some
/// (C12, each once) is taken, and told.
/// @throws InputError  `stated` names no column, or no role.
[[nodiscard]] PartColumns ChoosePartColumns(const LooseTable& table,
                                            const std::optional<std::string>& stated);

/// A line that names all three columns, for messages: "ref=Name, x=3, y=4".
[[nodiscard]] std::string ExampleOfPartColumns(const LooseTable& table,
                                               const std::vector<PartMeaning>& meanings);

/// The columns that are used, so that board.parts_columns may say the same.
[[nodiscard]] std::string WrittenPartColumns(const LooseTable& table,
                                             const std::vector<std::size_t>& used,
                                             const std::vector<PartMeaning>& meanings);

}  // namespace ohmglow
