// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "cli/command_line.h"

namespace ohmglow::cli {

/// The page of a command or a topic ("locate", "case"), plain text; with no
/// name that of the program.
/// @throws OptionError  one line that names the closest known page.
[[nodiscard]] std::string ManualText(const std::string& name);

/// `ohmglow help`.
[[nodiscard]] Command HelpCommand();

}  // namespace ohmglow::cli
