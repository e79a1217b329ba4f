// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/completion.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>

#include "cli/completion_words.h"

namespace ohmglow::cli {
namespace {

using ::testing::HasSubstr;

TEST(Completion, KnowsEveryCommandAndOption) {
  const std::string bash = BashCompletion(Commands());
  const std::string zsh = ZshCompletion(Commands());
  const std::string fish = FishCompletion(Commands());
  for (const Command& command : Commands()) {
    const std::string name(command.syntax.name);
    EXPECT_THAT(bash, HasSubstr("    " + name + ")\n"));
    EXPECT_THAT(zsh, HasSubstr("    " + name + ")\n"));
    for (const CompletionOption& option : CompletionOptions(command.syntax)) {
      EXPECT_THAT(bash, HasSubstr("--" + option.name));
      EXPECT_THAT(zsh, HasSubstr("--" + option.name + "["));
      EXPECT_THAT(fish, HasSubstr("from " + name + "' -l " + option.name));
    }
  }
}

TEST(Completion, ReadsKindsOffTheOptionTable) {
  const Syntax syntax{.name = "try",
                      .does = "",
                      .usage = "",
                      .about = "",
                      .options = {{"a", "DIR", ""},
                                  {"b", "FILE", ""},
                                  {"c", "x|y", ""},
                                  {"d", "-", ""},
                                  {"e", "", ""},
                                  {"f", "YYYY-MM-DD", ""}}};
  const auto options = CompletionOptions(syntax);
  ASSERT_EQ(options.size(), 7U);  // And --help.
  EXPECT_EQ(options[0].kind, ValueKind::kFolder);
  EXPECT_EQ(options[1].kind, ValueKind::kFile);
  EXPECT_EQ(options[2].kind, ValueKind::kChoice);
  EXPECT_THAT(options[2].choices, ::testing::ElementsAre("x", "y"));
  EXPECT_THAT(options[3].choices, ::testing::ElementsAre("-"));
  EXPECT_EQ(options[4].kind, ValueKind::kNone);
  EXPECT_EQ(options[5].kind, ValueKind::kOther);
}

TEST(Completion, QuotesWhatAShellWouldRead) {
  const std::array<Command, 1> commands{
      Command{{.name = "try",
               .does = "it's",
               .usage = "",
               .about = "",
               .options = {{"out", "DIR", "the board's [folder]: $HOME `x`"}}},
              nullptr}};
  EXPECT_THAT(ZshCompletion(commands),
              HasSubstr(R"('--out[the board'\''s \[folder\]\: $HOME `x`]:folder:_files -/')"));
  EXPECT_THAT(FishCompletion(commands), HasSubstr(R"(-d 'the board\'s [folder]: $HOME `x`')"));
  EXPECT_THAT(BashCompletion(commands), HasSubstr("--out) _ohmglow_paths -d; return ;;"));
}

}  // namespace
}  // namespace ohmglow::cli
