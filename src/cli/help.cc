// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/help.h"

#include <iomanip>
#include <sstream>

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
  text << "ohmglow finds the part that a short-circuited supply rail is heating.\n\n"
          "Usage:\n"
          "  ohmglow locate CASE.ini --out DIR\n\n"
          "Commands:\n";
  AddRow(text, "locate", "rank the places on the board that may be the short");
  text << "\nOptions:\n";
  AddRow(text, "--help", "this text; after a command: its options");
  AddRow(text, "--version", "name and version");
  text << '\n' << ExitCodeHelp();
  return text.str();
}

std::string LocateHelp() {
  std::ostringstream text;
  text << "Ranks the places on the board that may be the short.\n\n"
          "Usage:\n"
          "  ohmglow locate CASE.ini --out DIR [options]\n"
          "  ohmglow locate CASE.ini --json - [--out DIR] [options]\n\n"
          "CASE.ini describes one capture: frames, the supply's log, what is known of the board.\n"
          "DIR gets result.json, motion.csv, overlay.png and map.png, all of them or none; an\n"
          "older result there is replaced, other files there are left alone.\n\n"
          "Options:\n";
  AddRow(text, "--out DIR", "folder for the result; its parent must exist");
  AddRow(text, "--json -", "print result.json instead of the summary; --out may be left out");
  AddRow(text, "--help", "this text");
  text << "\nNumbers:\n";
  for (const NumberOption& option : NumberOptions()) {
    AddRow(text, "--" + std::string(option.name) + " N", std::string(option.help));
    AddRow(text, "", RangeText(option) + "; default " + DefaultText(option));
  }
  text << '\n' << ExitCodeHelp();
  return text.str();
}

std::string VersionText() { return "ohmglow " OHMGLOW_VERSION "\n"; }

}  // namespace ohmglow::cli
