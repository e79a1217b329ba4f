// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/tables.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "expect_error.h"
#include "input/csv_table.h"
#include "ohmglow/base/error.h"
#include "support/temp_folder.h"

namespace ohmglow {
namespace {

using testing::ExpectError;
using testing::TempFolder;

// Expects that a table of this text is refused.
template <typename Reader>
void ExpectTableError(const Reader& read,
                      std::string_view text,
                      const std::vector<std::string>& parts) {
  const TempFolder folder;
  const auto file = folder.Write("table.csv", text);
  ExpectError<InputError>([&] { read(file); }, parts);
}

constexpr auto kSupply = [](const auto& file) { (void)ReadSupplyLog(file, "supply.log"); };
constexpr auto kTimes = [](const auto& file) { (void)ReadFrameTimes(file, 3, "frames.times"); };
constexpr auto kPoints = [](const auto& file) { (void)ReadLandmarks(file, "board.points"); };
constexpr auto kParts = [](const auto& file) { (void)ReadParts(file, "board.parts"); };
constexpr auto kContacts = [](const auto& file) { (void)ReadContacts(file, "board.contacts"); };

// RFC 4180 (from memory): quotes double inside quotes; CRLF or LF.
TEST(CsvTable, FollowsRfc4180) {
  const TempFolder folder;
  const CsvTable table(folder.Write("t.csv", "a,b\r\n\"x, \"\"y\"\"\",2\r\n\"two\nlines\",3"),
                       "board.parts");
  ASSERT_EQ(table.size(), 2U);
  EXPECT_EQ(table.Text(0, 0), "x, \"y\"");
  EXPECT_EQ(table.Text(1, 0), "two\nlines");
  EXPECT_EQ(table.Number(1, 1), 3);
  EXPECT_EQ(table.Line(1), 3);
}

TEST(CsvTable, CountsLinesAlsoAfterBlankRowsAndCellsOfSeveralLines) {
  const TempFolder folder;
  const CsvTable table(folder.Write("t.csv", "\xEF\xBB\xBF A , b\n\n1,\"x\n\ny\"\n , \n2,z\n"), "");
  ASSERT_EQ(table.size(), 2U);
  EXPECT_EQ(table.Column("a"), 0U);
  EXPECT_EQ(table.Line(0), 3);
  EXPECT_EQ(table.Line(1), 7);
}

TEST(CsvTable, TakesOtherDelimitersAndDecimalCommas) {
  const TempFolder folder;
  for (const char* text : {"a;b\n1;0,5\n2;1,250\n",
                           "a\tb\n1\t0.5\n2\t1.250\n",
                           "a b\n1 0,5\n2  1,25 \n",
                           "a|b\n1|0,5\n2|1.25\n"}) {
    const CsvTable table(folder.Write("t.csv", text), "");
    ASSERT_EQ(table.size(), 2U) << text;
    EXPECT_EQ(table.Number(0, 1), 0.5) << text;
    EXPECT_EQ(table.Number(1, 1), 1.25) << text;
  }
  const CsvTable open(folder.Write("t.csv", "a;b\n1;1,250\n"), "");
  ExpectError<InputError>([&] { (void)open.Number(0, 1); },
                          {"row 2, column b: '1,250' has a decimal comma or thousands"});
}

TEST(ReadSupplyLog, NeedsNoVolts) {
  const TempFolder folder;
  const SupplyLog log = ReadSupplyLog(folder.Write("s.csv", "time_s,amps\n0,0\n1,0.25\n"), "").log;
  EXPECT_EQ(log.amps_a, (std::vector<double>{0, 0.25}));
  ASSERT_EQ(log.volts_v.size(), 2U);
  EXPECT_TRUE(std::isnan(log.volts_v[0]) && std::isnan(log.volts_v[1]));
}

TEST(ReadSupplyLog, FindsColumnsInAnyOrderAndIgnoresOthers) {
  const TempFolder folder;
  const SupplyLog log =
      ReadSupplyLog(
          folder.Write("s.csv", "amps,note,time_s,volts\n0,off,1.5,0\n\n0.25,on,2.5,0.11\n"), "")
          .log;
  EXPECT_EQ(log.time_s, (std::vector<double>{1.5, 2.5}));
  EXPECT_EQ(log.amps_a, (std::vector<double>{0, 0.25}));
  EXPECT_EQ(log.volts_v, (std::vector<double>{0, 0.11}));
}

TEST(ReadSupplyLog, NamesRowAndColumn) {
  ExpectTableError(kSupply,
                   "time_s,volts,amps\n0,0,0\n\n1,0,abc\n",
                   {"table.csv, row 4, column amps:", "'abc' is not a finite number"});
  ExpectTableError(
      kSupply, "time_s,volts,amps\n0,nan,0\n1,0,0\n", {"row 2, column volts:", "'nan'", "finite"});
  ExpectTableError(kSupply, "time_s,volts,amps\n0,inf,0\n1,0,0\n", {"row 2, column volts", "inf"});
  ExpectTableError(kSupply, "time_s,volts,amps\n0,0,0\n1,0\n", {"row 3, column amps: is empty"});
  ExpectTableError(kSupply,
                   "time_s,volts,amps\n0,0,0\n2,0,0\n1,0,0\n",
                   {"row 4, column time_s:", "1 runs backwards from 2", "must rise"});
  ExpectTableError(
      kSupply, "time_s,volts,amps\n0,0,0\n0,0,0\n", {"row 3, column time_s:", "0 repeats"});
}

TEST(ReadSupplyLog, LeavesOutARowWhosePointSlipped) {
  std::string rows = "time_s,amps\n";
  for (int i = 0; i < 40; ++i) {
    const char* amps = i < 10 ? "0.000" : i == 20 ? "5.78" : i == 30 ? "0.0578" : "0.578";
    rows += std::to_string(i) + "," + amps + "\n";
  }
  const TempFolder folder;
  const auto supply = [&](const std::string& text) {
    return ReadSupplyLog(folder.Write("s.csv", text), "").log;
  };
  const SupplyLog log = supply(rows);
  EXPECT_EQ(log.amps_a.size(), 38U);
  EXPECT_EQ(*std::max_element(log.amps_a.begin(), log.amps_a.end()), 0.578);
  // A level that was there for two readings, one noted by a single row, and a short pulse stay.
  EXPECT_EQ(supply("time_s,amps\n0,0.1\n1,0.1\n2,1\n3,1\n4,0.1\n5,0.1\n").amps_a.size(), 6U);
  EXPECT_EQ(supply("time_s,amps\n0,1\n1,0.1\n2,1\n3,0.1\n4,1\n").amps_a.size(), 5U);
  EXPECT_EQ(supply("time_s,amps\n0,0.1\n1,0.1\n2,0.5\n3,0.1\n4,0.1\n").amps_a.size(), 5U);
}

TEST(ReadSupplyLog, NeedsTwoRowsAndAllColumns) {
  ExpectTableError(kSupply, "time_s,volts,amps\n0,0,0\n", {"table.csv: has 1 data rows", "2"});
  ExpectTableError(
      kSupply, "time_s,volts\n0,0\n1,0\n", {"row 1: column amps is missing", "time_s, volts"});
}

TEST(CsvTable, RefusesTablesThatAreNone) {
  ExpectTableError(kSupply, "", {"table.csv: is empty", "header row"});
  ExpectTableError(kSupply, "\n \n", {"table.csv: is empty"});
  ExpectTableError(kContacts, "frame_x frame_y\n1 2\n", {"row 1: column name is missing"});
  ExpectTableError(kSupply, "time_s,volts,amps,volts\n", {"row 1:", "column volts stands twice"});
  ExpectTableError(
      kSupply, "time_s,volts,amps\n0,5,0,0,1\n", {"row 2: has 5 cells", "header 3", "point"});
  ExpectTableError(kContacts, "frame_x,frame_y,name\n1,2,\"a\n", {"row 2:", "quote is left open"});
  ExpectTableError(
      kContacts, "frame_x,frame_y,name\n1,2,\"a\"b\n", {"row 2:", "follows a closing quote"});
}

TEST(CsvTable, NamesTheSettingOfAMissingFile) {
  const TempFolder folder;
  ExpectError<InputError>([&] { kSupply(folder / "none.csv"); },
                          {"none.csv: no such file", "supply.log"});
  ExpectError<InputError>([&] { kSupply(folder.path()); }, {"is a folder", "supply.log"});
}

TEST(ReadFrameTimes, NeedsOneRowAFrame) {
  const TempFolder folder;
  const auto file = folder.Write("f.csv", "index,time_s\n7,1\n8,1.5\n9,2\n");
  EXPECT_EQ(ReadFrameTimes(file, 3, ""), (std::vector<double>{1, 1.5, 2}));
  ExpectTableError(kTimes, "index,time_s\n0,1\n1,2\n", {"has 2 rows of times", "3 frames"});
  ExpectTableError(kTimes,
                   "index,time_s\n0,1\n2,2\n3,3\n",
                   {"row 3, column index:", "'2' where 1 is due", "in order"});
  ExpectTableError(
      kTimes, "index,time_s\n0,1\n1,0.5\n2,3\n", {"row 3, column time_s:", "backwards from 1"});
}

TEST(ReadLandmarks, TakesBoardCoordinatesWhereTheyAreGiven) {
  const TempFolder folder;
  const auto marks =
      ReadLandmarks(folder.Write("p.csv",
                                 "frame_x,frame_y,photo_x,photo_y,board_x_mm,board_y_mm\n"
                                 "1,2,3,4,5,6\n1,2,3,4,,\n"),
                    "");
  ASSERT_EQ(marks.size(), 2U);
  EXPECT_EQ(marks[0].photo_px, Point(3, 4));
  ASSERT_TRUE(marks[0].board_mm);
  EXPECT_EQ(*marks[0].board_mm, Point(5, 6));
  EXPECT_FALSE(marks[1].board_mm);
}

TEST(ReadLandmarks, RefusesHalfABoardCoordinate) {
  ExpectTableError(kPoints,
                   "frame_x,frame_y,photo_x,photo_y,board_x_mm,board_y_mm\n1,2,3,4,5,\n",
                   {"row 2, column board_y_mm: is empty"});
  ExpectTableError(kPoints,
                   "frame_x,frame_y,photo_x,photo_y,board_x_mm\n",
                   {"row 1: column board_y_mm is missing", "both"});
}

TEST(ReadParts, TakesSideAndKind) {
  const TempFolder folder;
  const auto parts = ReadParts(folder.Write("p.csv",
                                            "ref,kind,side,x_mm,y_mm,width_mm,height_mm\n"
                                            "C1,capacitor,Bottom,1,2,3.2,1.6\n"),
                               "");
  ASSERT_EQ(parts.size(), 1U);
  EXPECT_EQ(parts[0].ref, "C1");
  EXPECT_EQ(parts[0].kind, "capacitor");
  EXPECT_EQ(parts[0].side, BoardSide::kBottom);
  EXPECT_EQ(parts[0].center_mm, Point(1, 2));
  EXPECT_EQ(parts[0].width_mm, 3.2);
}

TEST(ReadParts, RefusesSidesAndSizesThatCannotBe) {
  constexpr const char* kHeader = "ref,x_mm,y_mm,width_mm,height_mm,side\n";
  ExpectTableError(kParts,
                   std::string(kHeader) + "C1,0,0,1,1,left\n",
                   {"row 2, column side:", "'left' must be top or bottom"});
  ExpectTableError(kParts,
                   std::string(kHeader) + "C1,0,0,-1,1,top\n",
                   {"row 2, column width_mm:", "-1 is negative"});
  ExpectTableError(
      kParts, std::string(kHeader) + ",0,0,1,1,top\n", {"row 2, column ref: is empty"});
}

TEST(ReadContacts, ReadsPlacesAndNames) {
  const TempFolder folder;
  const auto contacts =
      ReadContacts(folder.Write("c.csv", "frame_x,frame_y,name\n-3.5,120,\"PC1, plus\"\n"), "");
  ASSERT_EQ(contacts.size(), 1U);
  EXPECT_EQ(contacts[0].frame_px, Point(-3.5, 120));
  EXPECT_EQ(contacts[0].name, "PC1, plus");
  ExpectTableError(kContacts, "frame_x,name\n1,a\n", {"row 1: column frame_y is missing"});
}

}  // namespace
}  // namespace ohmglow
