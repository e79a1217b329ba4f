// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "cli/arguments.h"

namespace ohmglow::cli {

/// `ohmglow --help`.
[[nodiscard]] std::string ProgramHelp();

/// `ohmglow COMMAND --help`, with every option.
[[nodiscard]] std::string CommandHelp(const Syntax& syntax);

/// `ohmglow --version`.
[[nodiscard]] std::string VersionText();

}  // namespace ohmglow::cli
