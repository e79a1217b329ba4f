// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "desk/case_text.h"
#include "desk/table_text.h"
#include "desk/tables.h"
#include "input/case_keys.h"
#include "input/ini_file.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

// A file as its owner keeps it: comments everywhere, odd blanks, Windows line ends in places.
const std::string kCase =
    "; my bench\n"
    "title =  Depth gauge   ; do not rename\n"
    "\n"
    "[frames]\n"
    "source = \"a;b.tiff\" ; quoted\n"
    "\tscale=0.01\t; kelvin per count\n"
    "\n"
    "# the board\n"
    "[board]\n"
    "; mm_per_pixel = 0.5\n"
    "mm_per_pixel = 0.45\n"
    "\n"
    "[surface]\n"
    "emissivity = 0.93";

std::string ValueOf(const std::string& text, const std::string& name) {
  const IniFile ini("case.ini", text, CaseKeys());
  const auto entry = ini.Find(name);
  return entry ? entry->value : "(none)";
}

TEST(WithKey, ChangesTheValueAloneAndKeepsTheCommentBehindIt) {
  const std::string text = WithKey(kCase, "frames.scale", "0.02");
  EXPECT_EQ(ValueOf(text, "frames.scale"), "0.02");
  std::string wanted = kCase;
  wanted.replace(wanted.find("=0.01"), 5, "= 0.02");
  EXPECT_EQ(text, wanted);
}

TEST(WithKey, LeavesLinesThatOnlyLookLikeTheKey) {
  const std::string text = WithKey(kCase, "board.mm_per_pixel", "0.4");
  EXPECT_EQ(ValueOf(text, "board.mm_per_pixel"), "0.4");
  EXPECT_NE(text.find("; mm_per_pixel = 0.5\n"), std::string::npos);
}

TEST(WithKey, KeepsACommentSignThatStandsInQuotes) {
  const std::string text = WithKey(kCase, "frames.source", "c;d.tiff");
  EXPECT_EQ(ValueOf(text, "frames.source"), "c;d.tiff");
  EXPECT_NE(text.find("\"c;d.tiff\" ; quoted"), std::string::npos);
}

TEST(WithKey, AddsWhatIsMissing) {
  EXPECT_EQ(ValueOf(WithKey(kCase, "board.points", "points.csv"), "board.points"), "points.csv");
  EXPECT_EQ(ValueOf(WithKey(kCase, "supply.levels", "0 0.5 0"), "supply.levels"), "0 0.5 0");
  EXPECT_EQ(ValueOf(WithKey(kCase, "surface.reflected_c", "21"), "surface.reflected_c"), "21");
  EXPECT_EQ(ValueOf(WithKey("", "supply.levels", "0 1"), "supply.levels"), "0 1");
  EXPECT_EQ(ValueOf(WithKey("[frames]\nsource = a\n", "title", "x"), "title"), "x");
  // All else is as it was, in its order.
  const std::string text = WithKey(kCase, "board.points", "points.csv");
  std::string without = text;
  without.erase(without.find("points = points.csv\n"), 20);
  EXPECT_EQ(without, kCase + (text.ends_with("0.93\n") ? "\n" : ""));
}

TEST(WithKey, KeepsTheLineEndsOfTheFile) {
  const std::string text = WithKey("[board]\r\nside = top ; seen\r\n", "board.side", "bottom");
  EXPECT_EQ(text, "[board]\r\nside = bottom ; seen\r\n");
  EXPECT_EQ(WithKey("[board]\r\nside = top\r\n", "board.points", "p"),
            "[board]\r\nside = top\r\npoints = p\r\n");
}

TEST(WithKey, RefusesWhatWouldWriteAnotherLine) {
  EXPECT_THROW(static_cast<void>(WithKey(kCase, "title", "x\n[supply]\nlog = /etc/passwd")),
               OptionError);
  EXPECT_THROW(static_cast<void>(WithKey(kCase, "title", "a\"b")), OptionError);
}

// RFC 4180, section 2: quotes around a cell, two of them for one.
const std::string kTable =
    "note,frame_y,frame_x,photo_x,photo_y,board_x_mm,board_y_mm\r\n"
    "\"hole, left\",77.72,5.21,136.21,712.59,3.00,47.00\r\n"
    "\"say \"\"two\"\"\",34.59,138.850,879.79,456.78,,\r\n";

TEST(WithLandmarks, KeepsColumnsItDoesNotKnowAndCellsThatDidNotChange) {
  const auto rows = nlohmann::json::parse(
      R"([{"row":0,"frame":[5.21,77.72],"photo":[136.21,712.59]},
          {"row":1,"frame":[138.85,34.59],"photo":[880.5,456.78]},
          {"frame":[1,2],"photo":[3,4.567]}])");
  EXPECT_EQ(WithLandmarks(kTable, rows),
            "note,frame_y,frame_x,photo_x,photo_y,board_x_mm,board_y_mm\r\n"
            "\"hole, left\",77.72,5.21,136.21,712.59,3.00,47.00\r\n"
            "\"say \"\"two\"\"\",34.59,138.850,880.50,456.78,,\r\n"
            ",2.00,1.00,3.00,4.57,,\r\n");
}

TEST(WithLandmarks, TakesOutRowsThatAreNotNamed) {
  const auto rows =
      nlohmann::json::parse(R"([{"row":1,"frame":[138.85,34.59],"photo":[879.79,456.78]}])");
  EXPECT_EQ(WithLandmarks(kTable, rows),
            "note,frame_y,frame_x,photo_x,photo_y,board_x_mm,board_y_mm\r\n"
            "\"say \"\"two\"\"\",34.59,138.850,879.79,456.78,,\r\n");
}

TEST(WithLandmarks, WritesDecimalCommasWhereTheTableHasThem) {
  const auto rows = nlohmann::json::parse(
      R"([{"row":0,"frame":[5.5,7],"photo":[1,2]},{"frame":[1.25,2],"photo":[3,4]}])");
  EXPECT_EQ(WithLandmarks("frame_x;frame_y;photo_x;photo_y\n5,5;7;1;2\n", rows),
            "frame_x;frame_y;photo_x;photo_y\n5,5;7;1;2\n1,25;2,00;3,00;4,00\n");
}

TEST(WithLandmarks, BeginsATable) {
  EXPECT_EQ(WithLandmarks("", nlohmann::json::parse(R"([{"frame":[1,2],"photo":[3,4]}])")),
            "frame_x,frame_y,photo_x,photo_y\n1.00,2.00,3.00,4.00\n");
}

TEST(WithLandmarks, RefusesRowsThatAreNotThereAndPlacesThatAreNone) {
  for (const char* const rows :
       {R"([{"row":2,"frame":[1,2],"photo":[3,4]}])",
        R"([{"row":0,"frame":[1,2],"photo":[3,4]},{"row":0,"frame":[1,2],"photo":[3,4]}])",
        R"([{"frame":[1e9,2],"photo":[3,4]}])",
        R"({"frame":1})"}) {
    EXPECT_THROW(static_cast<void>(WithLandmarks(kTable, nlohmann::json::parse(rows))), OptionError)
        << rows;
  }
}

TEST(WithLandmarks, CountsRowsAsTheReaderOfTablesDoes) {
  const auto rows = nlohmann::json::parse(R"([{"row":1,"frame":[9,9],"photo":[9,9]}])");
  EXPECT_EQ(WithLandmarks("frame_x,frame_y,photo_x,photo_y\n1,1,1,1\n,,,\n2,2,2,2\n", rows),
            "frame_x,frame_y,photo_x,photo_y\n9.00,9.00,9.00,9.00\n");
}

TEST(WithLandmarks, WritesPointsOfThePagesWhereFramesAreSmaller) {
  // Two points of a page in one of a frame: the frame's first has its middle at 0.5 of the page.
  const auto rows = nlohmann::json::parse(R"([{"frame":[0,10],"photo":[3,4]}])");
  EXPECT_EQ(WithLandmarks("", rows, 2), "frame_x,frame_y,photo_x,photo_y\n0.50,20.50,3.00,4.00\n");
}

TEST(WithContacts, QuotesNamesThatNeedIt) {
  const auto rows = nlohmann::json::parse(R"([{"frame":[1,2],"name":"J1, pin \"2\""}])");
  EXPECT_EQ(WithContacts("", rows), "frame_x,frame_y,name\n1.00,2.00,\"J1, pin \"\"2\"\"\"\n");
  EXPECT_THROW(static_cast<void>(
                   WithContacts("", nlohmann::json::parse(R"([{"frame":[1,2],"name":"a\nb"}])"))),
               OptionError);
}

TEST(TableText, KeepsAByteOrderMark) {
  const std::string text =
      "\xEF\xBB\xBF"
      "frame_x,frame_y,name\n1,2,a\n";
  EXPECT_EQ(TableText(text, {"frame_x", "frame_y", "name"}).Text(), text);
}

}  // namespace
}  // namespace ohmglow::desk
