// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "ohmglow/base/geometry.h"

namespace ohmglow {

/// A rectangle on the board, board coordinates [mm].
struct Region {
  std::string name;
  Point center_mm;
  double width_mm = 0;
  double height_mm = 0;
};

/// Reads a table of rectangles on the board, columns name, x_mm, y_mm (of the
/// middle), width_mm and height_mm in any order.
/// @throws InputError  one line that names file, row and column: a name that is
///         empty, stands twice or is over 100 bytes long, a size that is not
///         above zero, no rows, more than 1000.
[[nodiscard]] std::vector<Region> LoadRegions(const std::filesystem::path& file);

}  // namespace ohmglow
