// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <string>
#include <vector>

#include "ohmglow/sheet/sheet.h"

namespace ohmglow::internal {

/// Cells row by row; the first row holds the heads.
using SheetTable = std::vector<std::array<std::string, 4>>;

/// The areas of a second measurement: name, mean before, mean after, how even
/// the temperature within became. The first few; then how many there are more.
/// @param content  with `repair`.
[[nodiscard]] SheetTable RegionTable(const SheetContent& content);

/// Which area is the most even after the work and which the least; empty where
/// they do not differ or there is no more than one.
/// @param content  with `repair`.
[[nodiscard]] std::string RegionExtremes(const SheetContent& content);

}  // namespace ohmglow::internal
