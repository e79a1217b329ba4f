// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "ini_file.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/case_files.h"

namespace ohmglow {

/// LoadCase() of a text that need not stand in a file.
/// @param folder  what its paths are relative to.
/// @param spare   keys of files (photo, points, parts, contacts) that nobody asked for: one that
///                cannot be read is left out and told in Case::assumed as "key = none (why)".
[[nodiscard]] Case ReadCase(IniFile ini,
                            const std::filesystem::path& folder,
                            const std::set<std::string>& spare = {});

/// ListCaseFiles() of the same, without the case file itself.
[[nodiscard]] std::vector<NamedFiles> ListNamedFiles(const IniFile& ini,
                                                     const std::filesystem::path& folder);

}  // namespace ohmglow
