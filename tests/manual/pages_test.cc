// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "manual/pages.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include "cli/command_line.h"
#include "cli/exit_code.h"
#include "cli/help_command.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

using ::testing::HasSubstr;

std::string PageOf(const Command& command) {
  const std::string name(command.syntax.name);
  return ManualText(name == "help" ? std::string() : name);  // Its options stand in ohmglow(1).
}

std::vector<std::string> Lines(const std::string& text) {
  std::istringstream stream(text);
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

/// What stands under "       --name VALUE", blanks and line ends as one blank; by "name VALUE".
std::map<std::string, std::string> OptionsIn(const std::string& page) {
  static const std::regex kName("^ {7}--([a-z][a-z0-9-]*( [^ ]+)?)(  .*)?$");
  static const std::regex kBlanks(" +");
  std::map<std::string, std::string> options;
  std::string* text = nullptr;
  bool in_options = false;
  for (const std::string& line : Lines(page)) {
    if (!line.empty() && line.front() != ' ') in_options = line == "OPTIONS" || line == "NUMBERS";
    std::smatch match;
    if (in_options && std::regex_match(line, match, kName)) {
      text = &(options[match[1]] = match[3]);
    } else if (line.starts_with("            ") && text != nullptr) {
      *text += " " + line;
    } else if (!line.empty()) {
      text = nullptr;
    }
  }
  for (auto& [name, words] : options) words = std::regex_replace(words, kBlanks, " ");
  return options;
}

std::set<std::string> OptionsOf(const Syntax& syntax) {
  std::set<std::string> options{"help"};
  for (const TextOption& option : syntax.options) {
    std::string name(option.name);
    if (!option.value.empty()) (name += ' ') += option.value;
    options.insert(name);
  }
  if (syntax.numbers) {
    for (const NumberOption& option : NumberOptions()) {
      options.insert(std::string(option.name) + " N");
    }
  }
  return options;
}

TEST(ManualPages, HoldEveryOptionOfTheirCommandAndNoOther) {
  for (const Command& command : Commands()) {
    if (command.syntax.name == "help") continue;
    std::set<std::string> named;
    for (const auto& [name, words] : OptionsIn(PageOf(command))) {
      named.insert(name);
      EXPECT_GT(words.size(), 10U) << command.syntax.name << " --" << name;
    }
    EXPECT_EQ(named, OptionsOf(command.syntax)) << command.syntax.name;
  }
  EXPECT_EQ(OptionsIn(ManualText("")).size(), 2U);  // --help and --version.
}

TEST(ManualPages, StateTheRangeAndDefaultOfEveryNumber) {
  for (const Command& command : Commands()) {
    if (!command.syntax.numbers) continue;
    const auto options = OptionsIn(PageOf(command));
    for (const NumberOption& option : NumberOptions()) {
      const auto found = options.find(std::string(option.name) + " N");
      ASSERT_NE(found, options.end()) << option.name;
      EXPECT_THAT(found->second, HasSubstr(RangeText(option) + "; default " + DefaultText(option)))
          << command.syntax.name;
    }
  }
}

TEST(ManualPages, MentionNoOptionThatTheProgramDoesNotHave) {
  // Of parallel and sbatch, in the examples for several machines.
  std::set<std::string> known{"version", "sshloginfile", "array", "cpus-per-task", "mem"};
  for (const Command& command : Commands()) {
    for (const std::string& option : OptionsOf(command.syntax)) {
      known.insert(option.substr(0, option.find(' ')));
    }
  }
  static const std::regex kOption("--([a-z][a-z0-9-]*)");
  for (const ManualPage& page : ManualPages()) {
    const std::string text(page.text);
    for (std::sregex_iterator it(text.begin(), text.end(), kOption), end; it != end; ++it) {
      EXPECT_TRUE(known.contains((*it)[1])) << page.name << ": --" << (*it)[1];
    }
  }
}

TEST(ManualPages, AreNamedByTheProgramsPage) {
  const std::string program = ManualText("");
  for (const Command& command : Commands()) {
    EXPECT_THAT(program, HasSubstr("\n       " + std::string(command.syntax.name)));
  }
  for (const ManualPage& page : ManualPages()) {
    EXPECT_THAT(program, HasSubstr(std::string(page.name)));
    EXPECT_TRUE(page.text.starts_with("NAME\n       " + std::string(page.name) + " - "));
    EXPECT_THAT(std::string(page.text), HasSubstr("\nSEE ALSO\n"));
  }
}

TEST(ManualPages, ListEveryExitCode) {
  const std::string program = ManualText("");
  for (const ExitCodeText& row : kExitCodes) {
    EXPECT_THAT(program,
                HasSubstr("\n       " + std::to_string(static_cast<int>(row.code)) + "    "));
  }
  const auto last = static_cast<int>(kExitCodes.back().code);
  EXPECT_EQ(program.find("\n       " + std::to_string(last + 1) + "    "), std::string::npos);
}

TEST(ManualPages, FitATerminalOfEightyColumns) {
  for (const ManualPage& page : ManualPages()) {
    for (const std::string& line : Lines(std::string(page.text))) {
      const auto columns = std::count_if(line.begin(), line.end(), [](char c) {
        return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;  // Not inside a UTF-8 character.
      });
      EXPECT_LE(columns, 80) << page.name << ": " << line;
    }
  }
}

TEST(ManualText, TakesCommandsTopicsAndPageNames) {
  EXPECT_EQ(ManualText("locate"), ManualText("ohmglow-locate"));
  EXPECT_EQ(ManualText(""), ManualText("ohmglow"));
  EXPECT_THAT(ManualText("case"), HasSubstr("ohmglow-case - "));
  try {
    (void)ManualText("lcoate");
    ADD_FAILURE();
  } catch (const OptionError& error) {
    EXPECT_STREQ(
        error.what(),
        "no page 'lcoate'; did you mean 'ohmglow help locate'? ('ohmglow help' names all)");
  }
}

}  // namespace
}  // namespace ohmglow::cli
