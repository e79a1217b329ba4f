// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/help_command.h"

#include <iostream>
#include <vector>

#include "manual/pages.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

constexpr std::string_view kProgram = "ohmglow";

/// "locate" for the page "ohmglow-locate"; empty for that of the program.
std::string_view Topic(std::string_view page) {
  page.remove_prefix(kProgram.size());
  return page.empty() ? page : page.substr(1);
}

ExitCode RunHelp(const Arguments& arguments) {
  const auto& places = arguments.places();
  if (places.size() > 1) static_cast<void>(arguments.Places(1, "one command or topic"));
  std::cout << ManualText(places.empty() ? std::string() : places.front());
  return ExitCode::kDone;
}

}  // namespace

std::string ManualText(const std::string& name) {
  const bool whole = name == kProgram || name.starts_with("ohmglow-");
  const std::string wanted = whole ? std::string(Topic(name)) : name;
  std::vector<std::string> known;
  for (const ManualPage& page : ManualPages()) {
    if (Topic(page.name) == wanted) return std::string(page.text);
    if (!Topic(page.name).empty()) known.emplace_back(Topic(page.name));
  }
  const std::string near = Near(wanted, known);
  throw OptionError("no page '" + name + "'; " +
                    (near.empty()
                         ? std::string("'ohmglow help' names all")
                         : "did you mean 'ohmglow help " + near + "'? ('ohmglow help' names all)"));
}

Command HelpCommand() {
  return {{.name = "help",
           .does = "show the manual page of a command, of case folders or of results",
           .usage = "  ohmglow help [COMMAND|case|result]\n",
           .about = "The same pages that 'man ohmglow-locate' and so on show.\n",
           .options = {}},
          RunHelp};
}

}  // namespace ohmglow::cli
