// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <variant>
#include <vector>

#include "cli/arguments.h"
#include "cli/exit_code.h"

namespace ohmglow::cli {

/// One command of the program: its syntax, and what it does. Each stands in a
/// file of its own, <name>_command.
struct Command {
  Syntax syntax;
  ExitCode (*run)(const Arguments& arguments);  ///< @throws Error
};

/// All of them, in the order of the help text.
[[nodiscard]] std::span<const Command> Commands();

/// A text to print and be done: help, version.
struct TextRequest {
  std::string text;
};

/// A command with what was given to it.
struct CommandRequest {
  const Command* command;
  Arguments arguments;
};

using Request = std::variant<TextRequest, CommandRequest>;

/// @param arguments  what follows the program's name.
/// @throws OptionError  one line; unknown names come with the closest known one.
[[nodiscard]] Request ParseCommandLine(const std::vector<std::string>& arguments);

}  // namespace ohmglow::cli
