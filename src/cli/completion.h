// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>

#include "cli/command_line.h"

namespace ohmglow::cli {

/// Files from which a shell completes commands, options and their values, made
/// from the option table. Texts in them are quoted: any character may stand in a help.
[[nodiscard]] std::string BashCompletion(std::span<const Command> commands);
[[nodiscard]] std::string ZshCompletion(std::span<const Command> commands);
[[nodiscard]] std::string FishCompletion(std::span<const Command> commands);

}  // namespace ohmglow::cli
