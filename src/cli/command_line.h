// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <variant>
#include <vector>

#include "cli/option_table.h"

namespace ohmglow::cli {

/// `ohmglow locate`, as asked for.
struct LocateRequest {
  std::filesystem::path case_file;
  std::filesystem::path out;    ///< Empty: no result folder.
  bool json_to_output = false;  ///< result.json on standard output instead of the summary.
  Settings settings;
};

/// A text to print and be done: help, version.
struct TextRequest {
  std::string text;
};

using Request = std::variant<TextRequest, LocateRequest>;

/// @param arguments  what follows the program's name.
/// @throws OptionError  one line; unknown names come with the closest known one.
[[nodiscard]] Request ParseCommandLine(const std::vector<std::string>& arguments);

}  // namespace ohmglow::cli
