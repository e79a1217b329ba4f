// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>

namespace ohmglow {

/// Where the module that reads video is looked for before all other places
/// (beside the program, then where it is installed). To be called before the first
/// video is opened; later calls, and a relative path, change nothing.
void SetVideoModuleFolder(const std::filesystem::path& folder);

}  // namespace ohmglow
