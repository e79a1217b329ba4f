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

/// `ohmglow --version`: its own on the first line, then the libraries it was built with.
[[nodiscard]] std::string VersionText();

}  // namespace ohmglow::cli
