// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/command_line.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "cli/exit_code.h"
#include "cli/locate_command.h"
#include "cli/progress_line.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

LocateRequest ParseLocate(const std::vector<std::string>& arguments) {
  return ReadLocateRequest(std::get<CommandRequest>(ParseCommandLine(arguments)).arguments);
}

void ExpectRefused(const std::vector<std::string>& arguments, const std::string& message) {
  try {
    (void)ParseLocate(arguments);
    ADD_FAILURE() << "not refused; expected: " << message;
  } catch (const OptionError& error) {
    EXPECT_THAT(error.what(), HasSubstr(message));
    EXPECT_THAT(error.what(), Not(HasSubstr("\n")));
  }
}

TEST(ParseCommandLine, ReadsPlacesAndNumbers) {
  const auto request = ParseLocate({"locate",
                                    "a/case.ini",
                                    "--out",
                                    "b",
                                    "--max-candidates=3",
                                    "--false-alarm-prob",
                                    "0.05",
                                    "--max-shift-px",
                                    "40",
                                    "--clock-range-s",
                                    "0",
                                    "--threads",
                                    "1"});
  EXPECT_EQ(request.case_file, "a/case.ini");
  EXPECT_EQ(request.out, "b");
  EXPECT_FALSE(request.json_to_output);
  EXPECT_EQ(request.settings.locate.rank.max_candidates, 3);
  EXPECT_EQ(request.settings.locate.rank.false_alarm_prob, 0.05);
  EXPECT_EQ(request.settings.locate.align.max_shift_px, 40);
  EXPECT_EQ(request.settings.locate.heat.clock_range_s, 0);
  EXPECT_EQ(request.settings.threads, 1);
}

TEST(ParseCommandLine, LeavesDefaultsOfTheStructs) {
  const auto request = ParseLocate({"locate", "--json", "-", "case.ini"});
  EXPECT_TRUE(request.json_to_output);
  EXPECT_TRUE(request.out.empty());
  EXPECT_EQ(request.settings.locate.rank.max_candidates, RankOptions().max_candidates);
  EXPECT_EQ(request.settings.locate.align.max_shift_px, AlignOptions().max_shift_px);
}

TEST(ParseCommandLine, ReadsTheOtherSideAndWhetherGrowthIsWanted) {
  const auto plain = ParseLocate({"locate", "c.ini", "--out", "d"});
  EXPECT_FALSE(plain.growth);
  EXPECT_TRUE(plain.other_side.empty());
  const auto both =
      ParseLocate({"locate", "c.ini", "--other-side", "b/case.ini", "--growth", "--out", "d"});
  EXPECT_TRUE(both.growth);
  EXPECT_EQ(both.other_side, "b/case.ini");
  ExpectRefused({"locate", "c.ini", "--json", "-", "--growth"},
                "--growth writes files: give their folder with --out DIR");
  ExpectRefused({"locate", "c.ini", "--out", "d", "--other-side"}, "--other-side");
}

TEST(ParseCommandLine, NamesTheClosestKnownName) {
  ExpectRefused({"lcoate"}, "unknown command 'lcoate'; did you mean 'locate'?");
  ExpectRefused({"--hlep"}, "did you mean '--help'?");
  ExpectRefused({"locate", "c.ini", "--out", "d", "--max-shift", "3"},
                "unknown option '--max-shift'; did you mean '--max-shift-px'?");
  ExpectRefused({"locate", "c.ini", "--uot", "d"}, "did you mean '--out'?");
  ExpectRefused({"locate", "c.ini", "--lang", "de"}, "did you mean '--language'?");
  ExpectRefused({"locate", "c.ini", "-o", "d"}, "unknown option '-o'");
}

TEST(ParseCommandLine, RefusesWhatIsIncompleteOrTooMuch) {
  ExpectRefused({}, "no command");
  ExpectRefused({"locate", "--out", "d"}, "locate needs one case file");
  ExpectRefused({"locate", "c.ini"}, "give --out DIR");
  ExpectRefused({"locate", "c.ini", "e.ini", "--out", "d"}, "'e.ini' is too much");
  ExpectRefused({"locate", "c.ini", "--out"}, "--out");
  ExpectRefused({"locate", "c.ini", "--out="}, "--out");
  ExpectRefused({"locate", "c.ini", "--out", "d", "--out", "e"}, "more than once");
  ExpectRefused({"locate", "c.ini", "--json", "file.json"}, "'file.json' is not '-'");
}

TEST(SetNumber, NamesOptionValueAndRange) {
  const std::vector<std::string> start{"locate", "c.ini", "--out", "d"};
  const auto refuse = [&](const std::string& name, const std::string& value, const char* message) {
    auto arguments = start;
    arguments.insert(arguments.end(), {"--" + name, value});
    ExpectRefused(arguments, message);
  };
  refuse("max-candidates", "0", "--max-candidates: '0' is no whole number from 1 to 50");
  refuse("max-candidates", "2.5", "'2.5' is no whole number");
  refuse("max-candidates", "99999999999999999999", "is no whole number");
  refuse("max-shift-px", "-3", "--max-shift-px: '-3' is no number from 0.5 to 200");
  refuse("max-shift-px", "nan", "'nan' is no number");
  refuse("max-shift-px", "inf", "'inf' is no number");
  refuse("max-shift-px", "3px", "'3px' is no number");
  refuse("false-alarm-prob", "0.7", "default 0.01");
}

// The table repeats the ranges of the structs, narrower where that makes
// sense: both ends must be values that the stages accept.
TEST(NumberOptions, RangesAreAcceptedByTheStages) {
  for (const NumberOption& option : NumberOptions()) {
    SCOPED_TRACE(std::string(option.name));
    for (const double end : {option.low, option.high}) {
      Settings settings;
      std::ostringstream text;
      text << end;
      SetNumber(option, text.str(), settings);
      EXPECT_NO_THROW(settings.locate.Validate());
    }
    Settings defaults;
    EXPECT_NO_THROW(SetNumber(option, DefaultText(option), defaults));
  }
}

TEST(ParseCommandLine, HelpListsEveryOptionWithRangeAndDefault) {
  const auto help = std::get<TextRequest>(ParseCommandLine({"locate", "--help"})).text;
  for (const NumberOption& option : NumberOptions()) {
    EXPECT_THAT(help, HasSubstr("--" + std::string(option.name)));
    EXPECT_THAT(help, HasSubstr(RangeText(option) + "; default " + DefaultText(option)));
  }
  std::istringstream lines(help);
  for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 100U) << line;
}

TEST(CodeOf, MapsEachKindOfError) {
  EXPECT_EQ(CodeOf(OptionError("")), ExitCode::kOptions);
  EXPECT_EQ(CodeOf(InputError("")), ExitCode::kInput);
  EXPECT_EQ(CodeOf(DataError("")), ExitCode::kData);
  EXPECT_EQ(CodeOf(OutputError("")), ExitCode::kOutput);
  EXPECT_EQ(CodeOf(std::bad_alloc()), ExitCode::kInternal);
}

TEST(LineOf, StaysOneLine) {
  EXPECT_EQ(LineOf(InputError("a\nb\x1b[31m.csv: row 3")), "ohmglow: a b [31m.csv: row 3");
  EXPECT_THAT(LineOf(std::runtime_error("x")), HasSubstr("internal error"));
  EXPECT_THAT(LineOf(std::bad_alloc()), HasSubstr("the memory does not suffice"));
}

TEST(ProgressLine, RewritesOneLineAndWipesIt) {
  std::ostringstream stream;
  {
    ProgressLine line(stream, "looking");
    line.Show(-1);
    line.Show(0.501);
    const auto length = stream.str().size();
    line.Show(0.502);  // The same percentage: nothing is written.
    EXPECT_EQ(stream.str().size(), length);
    line.Show(7);
  }
  EXPECT_THAT(stream.str(), HasSubstr("looking ###"));
  EXPECT_THAT(stream.str(), HasSubstr(" 50 %"));
  EXPECT_THAT(stream.str(), HasSubstr("100 %"));
  EXPECT_THAT(stream.str(), Not(HasSubstr("\n")));
  EXPECT_TRUE(stream.str().ends_with(" \r"));
}

TEST(ProgressLine, WritesNothingUnlessShown) {
  std::ostringstream stream;
  { const ProgressLine line(stream, "looking"); }
  EXPECT_EQ(stream.str(), "");
}

}  // namespace
}  // namespace ohmglow::cli
