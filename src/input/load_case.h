// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "count_pages.h"
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
/// The same with frames of another kind than frames.source names.
[[nodiscard]] Case ReadCase(IniFile ini,
                            const std::filesystem::path& folder,
                            std::unique_ptr<CountPages> pages);

/// ListCaseFiles() of the same, without the case file itself.
[[nodiscard]] std::vector<NamedFiles> ListNamedFiles(const IniFile& ini,
                                                     const std::filesystem::path& folder);

}  // namespace ohmglow
