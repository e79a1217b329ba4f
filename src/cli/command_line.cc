// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/command_line.h"

#include <algorithm>

#include "cli/align_command.h"
#include "cli/batch_command.h"
#include "cli/check_command.h"
#include "cli/compare_command.h"
#include "cli/convert_command.h"
#include "cli/desk_command.h"
#include "cli/help.h"
#include "cli/help_command.h"
#include "cli/locate_command.h"
#include "cli/new_command.h"
#include "cli/record_command.h"
#include "cli/sheet_command.h"
#include "cli/why_command.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

[[noreturn]] void ThrowUnknown(const std::string& kind,
                               const std::string& name,
                               const std::vector<std::string>& known) {
  throw OptionError("unknown " + kind + " '" + name + "'; did you mean '" + Closest(name, known) +
                    "'? (see --help)");
}

}  // namespace

std::span<const Command> Commands() {
  static const std::vector<Command> commands{LocateCommand(),
                                             WhyCommand(),
                                             CheckCommand(),
                                             NewCommand(),
                                             RecordCommand(),
                                             ConvertCommand(),
                                             BatchCommand(),
                                             CompareCommand(),
                                             SheetCommand(),
                                             DeskCommand(),
                                             AlignCommand(),
                                             HelpCommand()};
  return commands;
}

Request ParseCommandLine(const std::vector<std::string>& arguments) {
  if (arguments.empty()) throw OptionError("no command; 'ohmglow --help' lists them");
  const std::string& first = arguments.front();
  std::vector<std::string> known;
  for (const Command& command : Commands()) {
    known.emplace_back(command.syntax.name);
    if (first != command.syntax.name) continue;
    Arguments given(command.syntax, {arguments.begin() + 1, arguments.end()});
    if (given.wants_help()) return TextRequest{CommandHelp(command.syntax)};
    return CommandRequest{&command, std::move(given)};
  }
  if (first == "--help") return TextRequest{ProgramHelp()};
  if (first == "--version") return TextRequest{VersionText()};
  if (first.starts_with('-')) ThrowUnknown("option", first, {"--help", "--version"});
  ThrowUnknown("command", first, known);
}

}  // namespace ohmglow::cli
