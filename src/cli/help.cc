// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/help.h"

#include <iomanip>
#include <opencv2/core/version.hpp>
#include <sstream>

#include "cli/command_line.h"
#include "cli/exit_code.h"
#include "cli/option_table.h"
#include "ohmglow/version.h"

namespace ohmglow::cli {
namespace {

constexpr int kNameWidth = 25;

void AddRow(std::ostringstream& text, const std::string& name, const std::string& help) {
  text << "  " << std::left << std::setw(kNameWidth) << name << ' ' << help << '\n';
}

std::string ExitCodeHelp() {
  std::ostringstream text;
  text << "Exit codes:\n";
  for (const auto& [code, meaning] : kExitCodes) {
    text << "  " << static_cast<int>(code) << "  " << meaning << '\n';
  }
  return text.str();
}

}  // namespace

std::string ProgramHelp() {
  std::ostringstream text;
  text << "ohmglow finds the part that a short-circuited supply rail is heating.\n\nUsage:\n";
  for (const Command& command : Commands()) text << command.syntax.usage;
  text << "\nCommands:\n";
  for (const Command& command : Commands()) {
    AddRow(text, std::string(command.syntax.name), std::string(command.syntax.does));
  }
  text << "\nOptions:\n";
  AddRow(text, "--help", "this text; after a command: its options");
  AddRow(text, "--version", "version of the program and of its libraries");
  text << '\n' << ExitCodeHelp() << "\nMore: ohmglow help [COMMAND|case|result]\n";
  return text.str();
}

std::string CommandHelp(const Syntax& syntax) {
  std::ostringstream text;
  text << "ohmglow " << syntax.name << ": " << syntax.does << ".\n\nUsage:\n"
       << syntax.usage << '\n'
       << syntax.about << "\nOptions:\n";
  for (const TextOption& option : syntax.options) {
    std::string name = "--";
    name += option.name;
    if (!option.value.empty()) (name += ' ') += option.value;
    AddRow(text, name, std::string(option.help));
  }
  AddRow(text, "--help", "this text");
  if (syntax.numbers) {
    text << "\nNumbers:\n";
    for (const NumberOption& option : NumberOptions()) {
      AddRow(text, "--" + std::string(option.name) + " N", std::string(option.help));
      AddRow(text, "", RangeText(option) + "; default " + DefaultText(option));
    }
  }
  text << '\n' << ExitCodeHelp() << "\nMore: ohmglow help " << syntax.name << '\n';
  return text.str();
}

std::string VersionText() {
  return "ohmglow " OHMGLOW_VERSION "\nBuilt with OpenCV " CV_VERSION ", " OHMGLOW_BUILT_WITH ".\n";
}

}  // namespace ohmglow::cli
