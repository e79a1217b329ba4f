// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <vector>

#include "ini_file.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/case_files.h"

namespace ohmglow {

/// LoadCase() of a text that need not stand in a file.
/// @param folder  what its paths are relative to.
[[nodiscard]] Case ReadCase(IniFile ini, const std::filesystem::path& folder);

/// ListCaseFiles() of the same, without the case file itself.
[[nodiscard]] std::vector<NamedFiles> ListNamedFiles(const IniFile& ini,
                                                     const std::filesystem::path& folder);

}  // namespace ohmglow
