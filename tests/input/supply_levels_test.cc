// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/supply_levels.h"

#include <gtest/gtest.h>

#include "case_folder.h"
#include "expect_error.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using testing::ExpectError;

void ExpectRefused(const std::string& text, const std::vector<std::string>& parts) {
  ExpectError<InputError>([&] { static_cast<void>(ParseLevels(text, 2, "here")); }, parts);
}

TEST(ParseLevels, ReadsCurrentsInOrder) {
  const std::vector<SetLevel> levels = ParseLevels(" 0 0.5, 0\t1.25 ", 2, "here");
  ASSERT_EQ(levels.size(), 4U);
  EXPECT_EQ(levels[1].amps_a, 0.5);
  EXPECT_EQ(levels[3].amps_a, 1.25);
  EXPECT_FALSE(levels[1].start_s);
}

TEST(ParseLevels, ReadsTimesWhereThereAreAny) {
  const std::vector<SetLevel> levels = ParseLevels("0@0 0.5@6.5 0", 3, "here");
  EXPECT_EQ(levels[0].start_s, 0);
  EXPECT_EQ(levels[1].start_s, 6.5);
  EXPECT_FALSE(levels[2].start_s);
  EXPECT_EQ(levels[1].within_s, 3);
}

TEST(ParseLevels, SaysWhatIsWrong) {
  ExpectRefused("0 half 0", {"here", "'half'", "no current"});
  ExpectRefused("0 0.5@soon", {"'soon'", "no time"});
  ExpectRefused("0.5", {"1 level", "needs two"});
  ExpectRefused("", {"0 level"});
  ExpectRefused("0 0.5 0.5", {"0.5 A follows 0.5 A", "no step"});
  ExpectRefused("0 0", {"no step"});
  ExpectRefused("0 -1", {"-1 A is negative"});
  ExpectRefused("0@5 1@5", {"does not follow"});
  std::string many;
  for (int i = 0; i < 50; ++i) many += i % 2 == 0 ? "0 " : "1 ";
  ExpectRefused(many, {"50 levels", "log"});
}

TEST(ParseLevels, TakesDecimalCommasWhereBlanksOrSemicolonsPart) {
  for (const char* text : {"0 0,58 1,25", "0;0,58;1,25", "0; 0,58; 1,25", "0, 0,58, 1,25"}) {
    const std::vector<SetLevel> levels = ParseLevels(text, 2, "here");
    ASSERT_EQ(levels.size(), 3U) << text;
    EXPECT_EQ(levels[1].amps_a, 0.58) << text;
    EXPECT_EQ(levels[2].amps_a, 1.25) << text;
  }
  const std::vector<SetLevel> timed = ParseLevels("0@0 0,5@6,5", 2, "here");
  EXPECT_EQ(timed[1].amps_a, 0.5);
  EXPECT_EQ(timed[1].start_s, 6.5);
}

TEST(ParseLevels, AsksWhatACommaMeans) {
  const std::string form = "numbers only, in amps, with a point: 0.72";
  for (const char* word : {"0.72A", "720mA", ".72A"}) {
    ExpectRefused(std::string("0 ") + word + " 0", {"here: '", word, form});
  }
  ExpectRefused("0,72", {"'0,72'", form});
  ExpectRefused("0 720 mA 0", {"'mA'", form});
  ExpectRefused("0, 0.5, 0,72, 0", {"'0,72'", form});
  ExpectRefused("0 0,72,1 0", {"'0,72,1'", form});
  ExpectRefused("0 720 0", {"720 A: levels are amps; write 0.72"});
  ExpectRefused("0 100.1 0", {"write 0.1001"});
  // Commas may still stand between.
  EXPECT_EQ(ParseLevels("0,72,0", 2, "here").size(), 3U);
  EXPECT_EQ(ParseLevels("0,0.72", 2, "here")[1].amps_a, 0.72);
  EXPECT_EQ(ParseLevels("0@0,100@5", 2, "here")[1].amps_a, 100);
}

TEST(LoadCase, ReadsLevelsInPlaceOfALog) {
  CaseFolder folder;
  folder.Remove("supply.log");
  folder.Remove("supply.clock_offset_s");
  folder.Set("supply.levels", "0 0.5@10.1 0");
  folder.Set("supply.volts", "1.2");
  const Case job = LoadCase(folder.Ini());
  EXPECT_FALSE(job.supply);
  ASSERT_EQ(job.levels.size(), 3U);
  EXPECT_EQ(job.levels[1].start_s, 10.1);
  EXPECT_EQ(job.most_volts_v, 1.2);
  ASSERT_EQ(job.assumed.size(), 1U);
  EXPECT_EQ(ToText(job.assumed[0]), "supply.levels_within_s = 2 s");
}

TEST(LoadCase, ReadsATableOfSteps) {
  CaseFolder folder;
  folder.Remove("supply.log");
  folder.Set("supply.steps", "steps.csv");
  folder.folder().Write("steps.csv", "time_s,amps,within_s\n,0,\n6,0.5,0.3\n,0,\n");
  const Case job = LoadCase(folder.Ini());
  ASSERT_EQ(job.levels.size(), 3U);
  // 6 s into the film, of which the first frame is at 10 s.
  EXPECT_EQ(job.levels[1].start_s, 16);
  EXPECT_EQ(job.levels[1].within_s, 0.3);
  EXPECT_FALSE(job.levels[2].start_s);
  folder.folder().Write("steps.csv", "time_s,amps,within_s\n0,0,0\n6,0.5,1\n");
  ExpectError<InputError>([&] { static_cast<void>(LoadCase(folder.Ini())); },
                          {"row 2", "within_s", "> 0"});
}

TEST(LoadCase, RefusesALogAndLevels) {
  CaseFolder folder;
  folder.Set("supply.levels", "0 1 0");
  ExpectError<InputError>([&] { static_cast<void>(LoadCase(folder.Ini())); },
                          {"supply.log", "supply.levels", "keep one"});
}

}  // namespace
}  // namespace ohmglow
