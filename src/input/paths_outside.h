// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <vector>

#include "ini_file.h"
#include "ohmglow/input/assumption.h"

namespace ohmglow {

/// The files of a case that lie outside its folder, also through links: who reads a case from
/// somebody else should see what it reaches for.
[[nodiscard]] std::vector<Assumption> ListPathsOutside(const IniFile& ini,
                                                       const std::filesystem::path& folder);

}  // namespace ohmglow
