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
        "\xE4\xBD\x8D\xE5\x8F\xB7,\xE5\xB0\x81\xE8\xA3\x85,\xE4\xB8\xAD\xE5\xBF\x83X(mm),"
        "\xE4\xB8\xAD\xE5\xBF\x83Y(mm),\xE5\xB1\x82,"
        "\xE6\x97\x8B\xE8\xBD\xAC\xE8\xA7\x92\xE5\xBA\xA6\nC1,0402,25.4,12.7,"
        "\xE9\xA1\xB6\xE5\xB1\x82,90\nU1,SOIC8,50.8,12.7,\xE5\xBA\x95\xE5\xB1\x82,0\n",
        "\xCE\xBB\xBA\xC5,\xB7\xE2\xD7\xB0,\xD6\xD0\xD0\xC4X(mm),\xD6\xD0\xD0\xC4Y(mm),\xB2\xE3,"
        "\xD0\xFD\xD7\xAA\xBD\xC7\xB6\xC8\nC1,0402,25.4,12.7,\xB6\xA5\xB2\xE3,90\nU1,SOIC8,50.8,12."
        "7,\xB5\xD7\xB2\xE3,0\n",
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

TEST(PlacementList, TakesTheMiddleOfABodyBeforeOtherPlaces) {
  for (const char* head : {"Ref,Pad X (mm),Pad Y (mm),Mid X (mm),Mid Y (mm),Side,Package\n",
                           "Ref,Start X (mm),Start Y (mm),Mid X (mm),Mid Y (mm),Side,Package\n",
                           "Ref,padx,pady,midx (mm),midy (mm),Side,Package\n"}) {
    const PlacementList list = Read(std::string(head) + "C1,9,8,25,12,top,0805\n");
    ASSERT_EQ(list.parts.size(), 1U) << head;
    EXPECT_EQ(list.parts[0].center_mm, Point(25, 12)) << head;
  }
  EXPECT_THROW((void)Read("Ref,padx,pady,Side,Package\nC1,9,8,top,0805\n"), InputError);
}

TEST(PlacementList, TurnsAndUnmirrors) {
  const PlacementList list =
      Read("Ref,X (mm),Y (mm),Rot,Side,Package\nR1,10,5,45,T,0805\nR2,-30,5,0,B,0805\n");
  EXPECT_NEAR(list.parts[0].width_mm, (2.0 + 1.25) / std::sqrt(2.0), 1e-9);
  EXPECT_NEAR(list.parts[1].center_mm.x, 30, 1e-9);
  ASSERT_EQ(list.guesses.size(), 1U);
  EXPECT_EQ(list.guesses[0], "x of the bottom, negative throughout, is taken as mirrored");
}

// Words for sizes of bodies in several languages (common practice, no source).
TEST(PlacementList, ReadsTheBodiesOfColumnsOfSizes) {
  for (const char* text : {"Ref;X (mm);Y (mm);Seite;Laenge;Breite\nC1;1,5;2;oben;2,1;1,3\n",
                           "Ref;X (mm);Y (mm);Seite;L\xC3\xA4nge [mm];Breite [mm];H\xC3\xB6he\n"
                           "C1;1,5;2;oben;2,1;1,3;0,9\n",
                           "Ref,X (mm),Y (mm),Side,Length,Width\nC1,1.5,2,top,2.1,1.3\n",
                           "Ref,X (mm),Y (mm),Side,Body Length,Body Width,Body Height\n"
                           "C1,1.5,2,top,2.1,1.3,0.9\n",
                           "Ref,X (mm),Y (mm),Side,Longueur,Largeur\nC1,1.5,2,top,2.1,1.3\n",
                           "Ref,X (mm),Y (mm),Side,Breite,H\xC3\xB6he\nC1,1.5,2,top,2.1,1.3\n"}) {
    const PlacementList list = Read(text);
    ASSERT_EQ(list.parts.size(), 1U) << text;
    EXPECT_NEAR(list.parts[0].width_mm, 2.1, 1e-9) << text;
    EXPECT_NEAR(list.parts[0].height_mm, 1.3, 1e-9) << text;
    EXPECT_TRUE(list.guesses.empty()) << text << list.guesses[0];
  }
}

// A narrow body of JEDEC MS-012 is 3.9 mm along its x and longer along y; an empty size is none.
TEST(PlacementList, LaysALengthAsThePackageDoes) {
  const PlacementList list = Read(
      "Ref,X (mm),Y (mm),Side,Case,Length,Width\nU1,1,2,T,SOIC-8,4.8,3.8\n"
      "R1,9,2,T,0805,2.1,1.3\nR2,12,2,T,0805,,\n");
  EXPECT_NEAR(list.parts[0].width_mm, 3.8, 1e-9);
  EXPECT_NEAR(list.parts[0].height_mm, 4.8, 1e-9);
  EXPECT_NEAR(list.parts[1].width_mm, 2.1, 1e-9);
  EXPECT_NEAR(list.parts[2].width_mm, 2.0, 1e-9);
  EXPECT_EQ(list.columns,
            "ref=Ref, x=X (mm), y=Y (mm), side=Side, package=Case, length=Length, width=Width");
}

TEST(PlacementList, NamesTheColumnsThatMayHoldSizes) {
  const char* text = "Ref,X (mm),Y (mm),Side,Nr,Along,Across\nC1,1,2,T,1,2.1,1.3\nC2,9,2,T,2,3,1\n";
  const PlacementList list = Read(text);
  ASSERT_EQ(list.guesses.size(), 2U);
  EXPECT_EQ(list.guesses[1], "no sizes found; these columns hold numbers: Along, Across");
  EXPECT_EQ(list.unsized_columns, "Along, Across");
  PlacementOptions options;
  options.columns = "width=Along, height=Across";
  const PlacementList told = Read(text, options);
  EXPECT_TRUE(told.guesses.empty());
  EXPECT_NEAR(told.parts[0].width_mm, 2.1, 1e-9);
  // What was used, said so, gives the same list.
  options.columns = told.columns;
  EXPECT_NEAR(Read(text, options).parts[1].width_mm, 3, 1e-9);
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
  EXPECT_EQ(
      message("Ref,X (mm),Side\nC1,0,top\n"),
      "list.csv, row 1: column y is missing; the header has Ref, X (mm), Side; say which, such as "
      "board.parts_columns = ref=Ref, x=X (mm), y=Side");
  EXPECT_EQ(message("Ref,X (mm),Y (mm)\nC1,abc,0\n"),
            "list.csv, row 2, column X (mm): 'abc' is not a finite number; give a number with or "
            "without a unit");
  EXPECT_EQ(message("Ref,X (mm),Y (mm)\n,1,0\n"),
            "list.csv, row 2, column Ref: is empty; give the part's designator");
}

// German and other headers (common practice, no source); what no header tells, the cells do.
TEST(PlacementList, FindsColumnsByWordsOfOtherLanguagesAndByWhatIsInThem) {
  for (const char* text :
       {"Bauteil;Lage X;Lage Y;Seite\nC1;10,5;20,5;oben\nU1;70,5;40,5;unten\n",
        "Bauteilname;X-Koordinate [mm];Y-Koordinate "
        "[mm];Lage\nC1;10,5;20,5;oben\nU1;70,5;40,5;unten\n",
        "Name,Centre X,Centre Y,Board side\nC1,10.5,20.5,top\nU1,70.5,40.5,bottom\n",
        "Part;Value;X Mitte;Y Mitte;Pad "
        "X;Seite\nC1;100n;10,5;20,5;9,9;oben\nU1;100n;70,5;40,5;9,9;unten\n",
        "Oznaczenie\tPozycja X\tPozycja Y\tStrona\nC1\t10.5\t20.5\tgora\nU1\t70.5\t40.5\tdol\n"}) {
    const std::vector<Part> parts = Read(text).parts;
    ASSERT_EQ(parts.size(), 2U) << text;
    EXPECT_EQ(parts[1].ref, "U1") << text;
    EXPECT_EQ(parts[1].center_mm, Point(70.5, 40.5)) << text;
    EXPECT_EQ(parts[1].side, BoardSide::kBottom) << text;
  }
  EXPECT_EQ(Read("Name,X (mm),Y (mm),Side,Package\nC1,1,2,top,0402\n").guesses,
            std::vector<std::string>{"the references are taken from the column Name"});
  // Values that repeat are no references, and of two such columns none is taken.
  for (const char* text : {"Name,X (mm),Y (mm)\nBC847,1,2\nBC847,3,4\n",
                           "Name,Type of it,X (mm),Y (mm)\nC1,BC847,1,2\nC2,LM358,3,4\n"}) {
    EXPECT_THROW((void)Read(text), InputError) << text;
  }
}

TEST(PlacementList, TakesColumnsAsTheyAreStated) {
  PlacementOptions options;
  options.columns = "ref = Kennung, x=Ost, y=4";
  const char* text = "Kennung;Wert;Ost;Nord\nfirst;1k;10,5;20,5\nsecond;2k;70,5;40,5\n";
  EXPECT_EQ(Read(text, options).parts[1].center_mm, Point(70.5, 40.5));
  const auto refused = [&](const char* columns, const std::string& part) {
    options.columns = columns;
    try {
      (void)Read(text, options);
      ADD_FAILURE() << columns;
    } catch (const InputError& error) {
      EXPECT_NE(std::string(error.what()).find(part), std::string::npos) << error.what();
    }
  };
  refused("ref=Kennung, x=West", "board.parts_columns names 'West', which is no column");
  refused("name=Kennung", "board.parts_columns has 'name=Kennung'");
  refused("ref=Kennung, x=Ost",
          "column y is missing; the header has Kennung, Wert, Ost, Nord; say "
          "which, such as board.parts_columns = ref=Kennung, x=Ost, y=Nord");
}

TEST(PlacementList, TellsADecimalCommaFromThousandsByTheSizeOfTheBoard) {
  // 57 mm, not 57 m; the turn and the bodies are written alike.
  const PlacementList comma = Read(
      "Ref;X (mm);Y (mm);Rot;Width (mm);Height (mm);Side\nC1;23,000;11,500;90,000;2,000;1,000;T\n"
      "C2;57,000;31,250;180,000;2,000;1,000;T\n");
  EXPECT_EQ(comma.parts[1].center_mm, Point(57, 31.25));
  EXPECT_NEAR(comma.parts[0].width_mm, 1, 1e-9);
  EXPECT_NEAR(comma.parts[0].height_mm, 2, 1e-9);
  EXPECT_EQ(comma.guesses[0], "23,000 is read as 23, as the list would be 34000 mm long otherwise");
  const PlacementList thousands =
      Read("Ref;X (mil);Y (mil);Side\nC1;1,250;2,500;T\nC2;3,750;1,000;T\n");
  EXPECT_NEAR(thousands.parts[1].center_mm.x, 3750 * 0.0254, 1e-9);
  EXPECT_EQ(thousands.guesses[0],
            "1,250 is read as 1250, as the list would be 0 mm long otherwise");
  // Without a unit: 60 mm, while 60 m, 60 mil, 60 inches and 60 000 mil are no board.
  EXPECT_EQ(Read("Ref;X;Y\nC1;1,000;2,000\nC2;61,000;40,000\n").parts[1].center_mm.x, 61);
  // 15 mm, 15 inches or 15 000 mil: two signs fit.
  EXPECT_THROW((void)Read("Ref;X;Y\nC1;1,000;2,000\nC2;16,000;9,000\n"), InputError);
  // A single part says nothing of its board.
  EXPECT_THROW((void)Read("Ref;X (mm);Y (mm)\nC1;1,000;2,000\n"), InputError);
}

TEST(PlacementList, TakesUnitsOfCellsAndRefusesThoseThatLackOneAmongSeveral) {
  const PlacementList one = Read("Ref,X,Y,Side\nC1,10mm,5mm,T\nC2,30,5,T\n");
  EXPECT_EQ(one.parts[1].center_mm.x, 30);
  const PlacementList mixed = Read("Ref,X,Y,Side\nC1,1000mil,5mm,T\nC2,30mm,5mm,T\n");
  EXPECT_NEAR(mixed.parts[0].center_mm.x, 25.4, 1e-9);
  try {
    (void)Read("Ref,X,Y,Side\nC1,1000mil,5mm,T\nC2,30mm,5mm,T\nC3,40,5mm,T\n");
    FAIL() << "read";
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(),
                 "list.csv, row 4, column X: '40' has no unit, and others of its column have "
                 "several; write it behind");
  }
}

TEST(PlacementList, TakesEmptySidesForTheTopWhereTheBottomAloneIsMarked) {
  const PlacementList marked = Read("Ref,X (mm),Y (mm),Side\nC1,10,5,\nC2,30,5,bottom\nC3,40,5,\n");
  EXPECT_EQ(marked.parts[0].side, BoardSide::kTop);
  EXPECT_EQ(marked.parts[1].side, BoardSide::kBottom);
  EXPECT_EQ(marked.guesses[0], "parts without a side are taken to be on the top");
  EXPECT_EQ(Read("Ref,X (mm),Y (mm),Side\nC1,10,5,\nC2,30,5,\n").guesses[0],
            "all parts are taken to be on the top");
  try {
    (void)Read("Ref,X (mm),Y (mm),Side\nC1,10,5,top\nC2,30,5,\n");
    FAIL() << "read";
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(), "list.csv, row 3, column Side: is empty; write top or bottom");
  }
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
  EXPECT_TRUE(one.guesses.empty());
  EXPECT_EQ(one.lost_rows,
            "left out: row 20, column X (mm): 'abc' is not a finite number; give a number with or "
            "without a unit");
  const PlacementList two = Read(Rows(18) + "18 parts in all\nR20,20,5,middle,0402\n");
  ASSERT_EQ(two.parts.size(), 18U);
  EXPECT_EQ(two.lost_rows,
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
