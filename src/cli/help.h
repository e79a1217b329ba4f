// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace ohmglow::cli {

/// `ohmglow --help`.
[[nodiscard]] std::string ProgramHelp();

/// `ohmglow locate --help`, with every option of the table.
[[nodiscard]] std::string LocateHelp();

/// `ohmglow --version`.
[[nodiscard]] std::string VersionText();

}  // namespace ohmglow::cli
