// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <vector>

#include "ohmglow/input/case_files.h"

namespace ohmglow::desk {

/// Whether `file` lies below `root` and no link leads there; it need not exist.
[[nodiscard]] bool IsInside(const std::filesystem::path& root, const std::filesystem::path& file);

/// @throws InputError  naming the first file that does not.
void RequireInside(const std::filesystem::path& root, const std::vector<NamedFiles>& files);

}  // namespace ohmglow::desk
