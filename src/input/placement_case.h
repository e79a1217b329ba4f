// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>

#include "ini_file.h"
#include "placement_list.h"

namespace ohmglow {

/// The parts that board.parts names: our own table, told by its column x_mm,
/// or the placement list of an assembly house with the settings board.parts_*.
/// @throws InputError  naming file, row and column, or the setting's line.
[[nodiscard]] PlacementList ReadCaseParts(const std::filesystem::path& file, const IniFile& ini);

}  // namespace ohmglow
