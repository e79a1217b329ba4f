// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <nlohmann/json_fwd.hpp>

namespace ohmglow::desk {

/// Where this user's own shop file lies, whether or not it is there; empty where the user has no
/// such folder. Source: XDG Base Directory Specification 0.8: $XDG_CONFIG_HOME, which counts only
/// where it is absolute, else $HOME/.config.
[[nodiscard]] std::filesystem::path OwnShopFile();

/// Writes the lines name, address, phone and mail into it, whole or not at all; what else stands
/// in the file stays.
/// @throws OptionError, OutputError, ChangedMeanwhile
void SaveShopLines(const std::filesystem::path& file, const nlohmann::json& lines);

}  // namespace ohmglow::desk
