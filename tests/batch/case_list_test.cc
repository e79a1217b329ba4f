// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/case_list.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "batch/case_names.h"
#include "ohmglow/base/error.h"
#include "support/temp_folder.h"

namespace ohmglow::batch {
namespace {

namespace fs = std::filesystem;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::SizeIs;
using testing::TempFolder;

std::vector<std::string> NamesOf(const CaseList& list) {
  std::vector<std::string> names;
  for (const CaseEntry& entry : list.cases) names.push_back(entry.name);
  return names;
}

CaseList Find(const TempFolder& shelf) { return FindCases(shelf.path(), shelf / "out"); }

TEST(SafeName, KeepsOrdinaryFoldersAsTheyAre) {
  for (const char* name : {"f2", "mon/f10", "B\u00E4r 7/rail 3.3 V", "a-b_c.d", "-5", ".hidden"}) {
    EXPECT_EQ(SafeName(name), name);
    EXPECT_TRUE(IsSafeName(name));
  }
}

TEST(SafeName, NeverLeavesTheOutputFolder) {
  EXPECT_EQ(SafeName("../../etc/x"), "etc/x");
  EXPECT_EQ(SafeName("/data//a/./b/"), "data/a/b");
  EXPECT_EQ(SafeName("..\u200B/a"), "_/a") << "turns into '..' when it is cleaned";
  EXPECT_EQ(SafeName("../.."), "case");
  EXPECT_EQ(SafeName(""), "case");
  for (const char* name : {"../a", "/a", "a//b", "a/..", "", "a/", "a\nb"}) {
    EXPECT_FALSE(IsSafeName(name)) << name;
  }
}

TEST(SafeName, ReplacesWhatAFileSystemOrAReaderMightMistake) {
  EXPECT_EQ(SafeName("rail 3:3|V?"), "rail 3_3_V_");
  EXPECT_EQ(SafeName("a\nb\x1B[31mc"), "a b[31mc");
  EXPECT_EQ(SafeName("\xFF\xFE"), "\uFFFD\uFFFD");
  EXPECT_EQ(SafeName("a\u202Egnp"), "agnp") << "direction characters go";
}

TEST(SafeName, LeavesTheNamesOfOurOwnFilesAlone) {
  EXPECT_EQ(SafeName("index.html"), "index.html_");
  EXPECT_EQ(SafeName("Summary.CSV/a"), "Summary.CSV_/a");
  EXPECT_EQ(SafeName("a/index.html"), "a/index.html");
  EXPECT_EQ(SafeName("a.partial-17"), "a_partial-17");
}

TEST(SafeName, CutsLongPartsBetweenCharacters) {
  std::string omegas;
  for (int i = 0; i < 200; ++i) omegas += "\u03A9";
  const std::string name = SafeName(omegas);
  EXPECT_LE(name.size(), 150U);
  EXPECT_GT(name.size(), 140U);
  EXPECT_TRUE(IsSafeName(name));
}

TEST(MakeDistinct, NumbersEqualNames) {
  EXPECT_THAT(MakeDistinct({"a", "b", "a", "a"}), ElementsAre("a", "b", "a-2", "a-3"));
  EXPECT_THAT(MakeDistinct({"a-2", "a", "a"}), ElementsAre("a-2", "a", "a-3"));
}

TEST(MakeDistinct, PutsNoCaseIntoTheFolderOfAnother) {
  EXPECT_THAT(MakeDistinct({"a/b/c", "a", "a/d"}), ElementsAre("a__b/c", "a", "a__d"));
  EXPECT_THAT(MakeDistinct({"a/b", "a", "a__b"}), ElementsAre("a__b-2", "a", "a__b"));
  EXPECT_THAT(MakeDistinct({"x", "x", "x-2/y"}), ElementsAre("x", "x-2", "x-2__y"));
}

TEST(FindCases, NamesByFolderInNaturalOrder) {
  const TempFolder shelf;
  for (const char* name : {"f10", "f2", "tue/f1", "mon/b/f3", "F1"}) {
    shelf.Write(std::string(name) + "/case.ini", "");
  }
  shelf.Write("notes/readme.txt", "");
  shelf.Write(".trash/f1/case.ini", "");
  const CaseList list = Find(shelf);
  EXPECT_THAT(NamesOf(list), ElementsAre("F1", "f2", "f10", "mon/b/f3", "tue/f1"));
  EXPECT_EQ(list.cases[1].file, shelf / "f2/case.ini");
  EXPECT_THAT(list.problems, SizeIs(0));
}

TEST(FindCases, TakesTheRootItselfAndCasesInsideOfCases) {
  const TempFolder shelf;
  const std::string own = shelf.path().filename().string();
  shelf.Write("case.ini", "");
  shelf.Write("a/case.ini", "");
  shelf.Write("a/again/case.ini", "");
  EXPECT_THAT(NamesOf(Find(shelf)), ElementsAre("a", "a__again", own));
}

TEST(FindCases, FollowsLinksOnceAndEntersNoOutput) {
  const TempFolder shelf;
  shelf.Write("real/f1/case.ini", "");
  shelf.Write("out/f1/case.ini", "");
  fs::create_directory_symlink(shelf / "real/f1", shelf / "linked");
  fs::create_directory_symlink(shelf.path(), shelf / "real/loop");
  EXPECT_THAT(NamesOf(Find(shelf)), ElementsAre("linked", "real/f1"));
}

TEST(FindCases, NamesFoldersOfFramesThatAreNoCases) {
  const TempFolder shelf;
  for (const char* name : {"a/case.ini",
                           "a/frames/1.tiff",
                           "b/1.TIFF",
                           "out/1.tiff",
                           "c/note.txt",
                           "d/result.json",
                           "d/rise.tiff"}) {
    shelf.Write(name, "");
  }
  // Pictures in a folder of their own belong to what lies beside it.
  for (int i = 0; i < 20; ++i) shelf.Write("e/png/" + std::to_string(i) + ".png", "");
  shelf.Write("e/log.csv", "");
  for (int i = 0; i < 20; ++i) shelf.Write("g/png/" + std::to_string(i) + ".png", "");
  shelf.Write("g/readme.txt", "");
  for (int i = 0; i < 3; ++i) shelf.Write("f/" + std::to_string(i) + ".png", "");
  const CaseList list = Find(shelf);
  EXPECT_THAT(NamesOf(list), ElementsAre("a"));
  EXPECT_THAT(list.problems,
              ElementsAre(HasSubstr("b: holds frames but no case.ini"),
                          HasSubstr("e: holds frames but no case.ini"),
                          HasSubstr("g/png: holds frames but no case.ini")));
}

TEST(FindCases, SaysWhereThereIsNone) {
  const TempFolder shelf;
  const auto message = [](const fs::path& root) -> std::string {
    try {
      (void)FindCases(root, "/nowhere");
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_THAT(message(shelf.path()), HasSubstr("no case.ini"));
  EXPECT_THAT(message(shelf / "missing"), HasSubstr("is no folder"));
}

TEST(ReadCaseList, NamesByThePathsAsListed) {
  const TempFolder shelf;
  shelf.Write("mon/f1/case.ini", "");
  const std::string mon = (shelf / "mon/f1").string();
  const CaseList list = ReadCaseList("tue/f10/case.ini\r\n\ntue/f2/case.ini\n../wed/x/case.ini\n" +
                                         mon + "\ntue/f2/spare.ini\n./tue/f2/case.ini",
                                     "list");
  EXPECT_THAT(NamesOf(list),
              ElementsAre(mon.substr(1), "tue/f2", "tue/f2__spare", "tue/f10", "wed/x"));
}

TEST(ReadCaseList, RefusesAnEmptyOne) {
  EXPECT_THROW((void)ReadCaseList("\n \n", "list"), InputError);
}

TEST(InShard, GivesEveryNameToExactlyOne) {
  std::vector<int> sizes(7);
  for (int i = 0; i < 700; ++i) {
    int owners = 0;
    for (int number = 1; number <= 7; ++number) {
      if (!InShard("board " + std::to_string(i), {number, 7})) continue;
      ++owners;
      ++sizes[static_cast<std::size_t>(number - 1)];
    }
    EXPECT_EQ(owners, 1);
  }
  // 100 each; four standard deviations of a binomial count.
  for (const int size : sizes) EXPECT_NEAR(size, 100, 4 * 9.3);
  EXPECT_TRUE(InShard("x", {1, 1}));
}

TEST(InShard, StaysTheSameEverywhere) {
  // XXH3, 64 bits, of the empty input without a seed is 2d06800538d394c2, as the
  // reference implementation's own test values state (xxhash.com, from memory).
  const std::uint64_t empty = 0x2d06800538d394c2U;
  for (const int count : {2, 3, 5, 10007}) {
    const int number = static_cast<int>(empty % static_cast<std::uint64_t>(count)) + 1;
    EXPECT_TRUE(InShard("", {number, count})) << count;
  }
}

}  // namespace
}  // namespace ohmglow::batch
