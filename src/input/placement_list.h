// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/input/case.h"

namespace ohmglow {

/// What one placement list says that its file does not.
struct PlacementOptions {
  /// board.parts_columns, see ChoosePartColumns: "ref=Name, x=Lage X, y=3".
  std::optional<std::string> columns = std::nullopt;
  std::optional<std::string> unit = std::nullopt;  ///< board.parts_unit: mm, mil, inch, um.
  std::optional<std::string> top_word =
      std::nullopt;                                 ///< board.parts_top: the side's word for top.
  std::optional<bool> metric_chips = std::nullopt;  ///< board.parts_chips: inch or metric codes.
  /// board.parts_bottom_x: whether x of the bottom runs the other way than that of the top.
  std::optional<bool> bottom_mirrored = std::nullopt;
  std::optional<char> decimal = std::nullopt;    ///< board.parts_decimal
  std::optional<char> delimiter = std::nullopt;  ///< board.parts_delimiter
};

struct PlacementList {
  std::vector<Part> parts;
  std::vector<std::string> guesses;  ///< Short clauses: what was taken for granted.
  std::string columns = {};          ///< Which were used, as board.parts_columns would say it.
  std::string lost_rows = {};        ///< Rows that are left out, and why; may be empty.
  std::string unsized_columns = {};  ///< Of numbers, where no size of a body is known.
};

/// A placement list as assembly houses exchange it: columns in many spellings;
/// mm, mil, inch or um; both sides; rotation; bodies by the package's name.
/// Rows that cannot be read are left out and told.
/// Pure: any bytes give a list or one error.
/// @throws InputError  a column is missing, over a tenth of the rows cannot be
///         read, or two readings are as good as each other; names the setting
///         that decides.
[[nodiscard]] PlacementList ParsePlacementList(std::string_view bytes,
                                               const std::string& name,
                                               const PlacementOptions& options);

}  // namespace ohmglow
