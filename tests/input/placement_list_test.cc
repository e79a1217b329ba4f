// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/placement_list.h"

#include <gtest/gtest.h>

#include <cmath>

#include "input/package_sizes.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

PlacementList Read(std::string_view text, const PlacementOptions& options = {}) {
  return ParsePlacementList(text, "list.csv", options);
}

// The same two parts in the spellings that lists use (common practice, no source).
TEST(PlacementList, ReadsColumnsAndUnitsInManySpellings) {
  for (const char* text :
       {"Ref,PosX,PosY,Rot,Side,Package,Val\nC1,25.4,12.7,90,top,C0402 (1005 metric),100n\n"
        "U1,50.8,12.7,0,bottom,SOIC-8,amp\n",
        "Designator;Comment;Layer;Footprint;Center-X(mm);Center-Y(mm);Rotation\n"
        "C1;100nF;TopLayer;0402;25,4;12,7;90,00\nU1;amp;BottomLayer;SOIC8;50,8;12,7;0,00\n",
        "made today\n\n\"Designator\",\"Mid X\",\"Mid Y\",\"Layer\",\"Rotation\",\"Footprint\"\n"
        "\"C1\",\"1000mil\",\"500mil\",\"T\",\"270\",\"CAPC1005 0402\"\n"
        "\"U1\",\"2000mil\",\"500mil\",\"B\",\"180\",\"SO-8\"\n",
        "Reference\tX (inch)\tY (inch)\tSide\tAngle\tCase\nC1\t1\t0.5\tFront\t90\t0402\n"
        "U1\t2\t0.5\tBack\t0\tSOIC-8\n",
        "# Ref Val Package PosX PosY Rot Side\nC1 100n 0402 25.4 12.7 90 oben\n"
        "U1 amp SOIC-8 50.8 12.7 0 unten\n"}) {
    const std::vector<Part> parts = Read(text).parts;
    ASSERT_EQ(parts.size(), 2U) << text;
    EXPECT_EQ(parts[0].ref, "C1") << text;
    EXPECT_EQ(parts[0].kind, "capacitor");
    EXPECT_NEAR(parts[0].center_mm.x, 25.4, 1e-9) << text;
    EXPECT_NEAR(parts[0].center_mm.y, 12.7, 1e-9) << text;
    EXPECT_NEAR(parts[0].width_mm, 0.5, 1e-9) << text;
    EXPECT_NEAR(parts[0].height_mm, 1.0, 1e-9) << text;
    EXPECT_EQ(parts[0].side, BoardSide::kTop) << text;
    EXPECT_EQ(parts[1].side, BoardSide::kBottom) << text;
    EXPECT_NEAR(parts[1].width_mm, 3.9, 1e-9) << text;
    EXPECT_NEAR(parts[1].height_mm, 4.9, 1e-9) << text;
  }
}

TEST(PlacementList, TurnsAndUnmirrors) {
  const PlacementList list =
      Read("Ref,X (mm),Y (mm),Rot,Side,Package\nR1,10,5,45,T,0805\nR2,-30,5,0,B,0805\n");
  EXPECT_NEAR(list.parts[0].width_mm, (2.0 + 1.25) / std::sqrt(2.0), 1e-9);
  EXPECT_NEAR(list.parts[1].center_mm.x, 30, 1e-9);
  ASSERT_EQ(list.guesses.size(), 1U);
  EXPECT_EQ(list.guesses[0], "x of the bottom, negative throughout, is taken as mirrored");
}

TEST(PlacementList, GuessesWhatItMustAndSaysSo) {
  const PlacementList list = Read("Ref,X,Y\nU1,0,0\nJ1,80,40\n");
  ASSERT_EQ(list.guesses.size(), 3U);
  EXPECT_EQ(list.guesses[0], "coordinates are taken in mm");
  EXPECT_EQ(list.guesses[1], "all parts are taken to be on the top");
  EXPECT_EQ(list.guesses[2], "the bodies of 2 parts are guessed from their kinds");
}

TEST(PlacementList, AsksWhereTwoReadingsAreEquallyGood) {
  const auto message = [](const char* text) {
    try {
      (void)Read(text);
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string("read");
  };
  EXPECT_EQ(
      message("Ref,X,Y\nC1,0,0\nC2,400,300\n"),
      "list.csv, row 1: coordinates over 400 without a unit may be mm or mil; say which, such "
      "as board.parts_unit = mm");
  EXPECT_EQ(
      message("Ref,X,Y\nC1,0,0\nC2,12,10\n"),
      "list.csv, row 1: coordinates over 12 without a unit may be mm or inch; say which, such "
      "as board.parts_unit = mm");
  EXPECT_EQ(message("Ref,X (mm),Y (mm),Package\nC1,0,0,0603\n"),
            "list.csv, row 2, column Package: '0603' may be 1.6 x 0.8 mm (code in inches) or 0.6 x "
            "0.3 mm (metric code); say which, board.parts_chips = inch or metric");
  EXPECT_EQ(
      message("Ref,X (mm),Y (mm),Side\nC1,0,0,0\n"),
      "list.csv, row 2, column Side: '0' may be top or bottom; say which word means top, such "
      "as board.parts_top = 1");
  EXPECT_EQ(message("Ref,X (mm),Side\nC1,0,top\n"),
            "list.csv, row 1: column y is missing; the header has Ref, X (mm), Side");
  EXPECT_EQ(message("Ref,X (mm),Y (mm)\nC1,abc,0\n"),
            "list.csv, row 2, column X (mm): 'abc' is not a finite number; give a number with or "
            "without a unit");
  EXPECT_EQ(message("Ref,X (mm),Y (mm)\n,1,0\n"),
            "list.csv, row 2, column Ref: is empty; give the part's designator");
}

std::string Rows(int count) {
  std::string text = "Ref,X (mm),Y (mm),Side,Package\n";
  for (int i = 1; i <= count; ++i) {
    text += "R" + std::to_string(i) + "," + std::to_string(i) + ",5,top,0402\n";
  }
  return text;
}

TEST(PlacementList, LeavesSpoiltRowsOutAndSaysSo) {
  const PlacementList one = Read(Rows(18) + "R19,abc,5,top,0402\nR20,20,5,top,0402\n");
  ASSERT_EQ(one.parts.size(), 19U);
  EXPECT_EQ(one.parts.back().ref, "R20");
  ASSERT_EQ(one.guesses.size(), 1U);
  EXPECT_EQ(one.guesses[0],
            "left out: row 20, column X (mm): 'abc' is not a finite number; give a number with or "
            "without a unit");
  const PlacementList two = Read(Rows(18) + "18 parts in all\nR20,20,5,middle,0402\n");
  ASSERT_EQ(two.parts.size(), 18U);
  ASSERT_EQ(two.guesses.size(), 1U);
  EXPECT_EQ(two.guesses[0],
            "2 rows left out, first row 20, column X (mm): is empty; give a number with or without "
            "a unit");
}

TEST(PlacementList, IsRefusedWhereOverATenthIsSpoilt) {
  try {
    (void)Read(Rows(17) + "R18,,5,top,0402\nR19,abc,5,top,0402\n");
    FAIL() << "read";
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(),
                 "list.csv, row 19, column X (mm): is empty; give a number with or without a unit "
                 "(2 of 19 rows cannot be used)");
  }
}

TEST(PlacementList, MirrorsTheBottomAsItIsTold) {
  const char* negative = "Ref,X (mm),Y (mm),Side,Package\nR1,10,5,T,0805\nR2,-30,5,B,0805\n";
  const PlacementList same = Read(negative, {.bottom_mirrored = false});
  EXPECT_EQ(same.parts[1].center_mm.x, -30);
  EXPECT_TRUE(same.guesses.empty());
  const char* below = "Ref,X (mm),Y (mm),Side,Package\nR2,-30,5,B,0805\n";
  EXPECT_EQ(Read(below).parts[0].center_mm.x, -30);
  const PlacementList mirrored = Read(below, {.bottom_mirrored = true});
  EXPECT_EQ(mirrored.parts[0].center_mm.x, 30);
  EXPECT_TRUE(mirrored.guesses.empty());
}

// Outlines of JEDEC MS-026 and MO-220 by pins and pitch; from memory.
TEST(PackageSizes, TakesQuadBodiesByTheirPins) {
  struct Quad {
    const char* name;
    double side_mm;
  };
  for (const Quad& one : {Quad{"LQFP-32", 7},
                          Quad{"LQFP32 P0.5", 5},
                          Quad{"TQFP-44", 10},
                          Quad{"LQFP48", 7},
                          Quad{"48-LQFP", 7},
                          Quad{"LQFP-64_0.5mm", 10},
                          Quad{"LQFP-64-0.4", 7},
                          Quad{"TQFP80", 12},
                          Quad{"LQFP_100", 14},
                          Quad{"LQFP144", 20},
                          Quad{"QFP-176", 24},
                          Quad{"LQFP-208 pitch 0.5", 28},
                          Quad{"QFN-16", 3},
                          Quad{"VQFN-24", 4},
                          Quad{"32-VQFN", 5},
                          Quad{"QFN40 P0.4mm", 5},
                          Quad{"QFN48", 7},
                          Quad{"QFN-64", 9}}) {
    const auto size = SizeOfPackage(one.name);
    ASSERT_TRUE(size) << one.name;
    EXPECT_EQ(size->x_mm, one.side_mm) << one.name;
    EXPECT_EQ(size->y_mm, one.side_mm) << one.name;
    EXPECT_TRUE(size->by_pins) << one.name;
  }
  for (const char* odd : {"QFN", "LQFP-9999", "QFN-7", "LQFP 0.5"}) {
    EXPECT_FALSE(SizeOfPackage(odd)) << odd;
  }
  const PlacementList list = Read("Ref,X (mm),Y (mm),Side,Package\nU1,10,5,T,LQFP-48\n");
  ASSERT_EQ(list.guesses.size(), 1U);
  EXPECT_EQ(list.guesses[0], "the body of 1 part is guessed from its number of pins");
}

TEST(PackageSizes, ReadsNames) {
  struct Named {
    const char* name;
    double x_mm, y_mm;
  };
  for (const Named& one : {Named{"R0805 (2012 metric)", 2.0, 1.25},
                           Named{"1608", 1.6, 0.8},
                           Named{"0603M", 0.6, 0.3},
                           Named{"SOT-23-5", 1.3, 2.9},
                           Named{"SOT-223", 3.5, 6.5},
                           Named{"QFN-32 5x5mm", 5, 5},
                           Named{"LQFP-64 10x10", 10, 10},
                           Named{"LQFP-64 (12.0 mm x 10 mm)", 12, 10},
                           Named{"QFN-20 4 \xC3\x97 3", 4, 3},
                           Named{"QFN-20 4*3", 4, 3},
                           Named{"CAN D8.0x10.2", 8, 8},
                           Named{"SMA", 4.3, 2.6},
                           Named{"COIL 7.3x6.8", 7.3, 6.8}}) {
    const auto size = SizeOfPackage(one.name);
    ASSERT_TRUE(size) << one.name;
    EXPECT_EQ(size->x_mm, one.x_mm) << one.name;
    EXPECT_EQ(size->y_mm, one.y_mm) << one.name;
  }
  for (const char* odd : {"", "thing", "Row 1x20", "12345"})
    EXPECT_FALSE(SizeOfPackage(odd)) << odd;
}

}  // namespace
}  // namespace ohmglow
