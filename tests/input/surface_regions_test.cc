// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/surface_regions.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "case_folder.h"
#include "expect_error.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/file_notes.h"
#include "ohmglow/input/measured_frames.h"
#include "ohmglow/words/say_clauses.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using testing::ExpectError;
using testing::TempFolder;

const std::string kInFrame = "frame_x,frame_y,width_px,height_px,emissivity\n";
const std::string kOnBoard = "x_mm,y_mm,width_mm,height_mm,emissivity,name\n";
const std::string kBoth =
    "frame_x,frame_y,width_px,height_px,x_mm,y_mm,width_mm,height_mm,emissivity,name\n";

std::vector<SurfaceRegion> Read(const std::string& text) {
  const TempFolder folder;
  return ReadSurfaceRegions(folder.Write("shiny.csv", text), "surface.regions");
}

void ExpectRefused(const std::string& text, const std::vector<std::string>& parts) {
  ExpectError<InputError>([&] { (void)Read(text); }, parts);
}

TEST(ReadSurfaceRegions, ReadsPixelsAndMillimetres) {
  const auto in_frame = Read(kInFrame + "12,8.5,6,4,0.3\n");
  ASSERT_EQ(in_frame.size(), 1U);
  EXPECT_FALSE(in_frame[0].on_board);
  EXPECT_EQ(in_frame[0].center, Point(12, 8.5));
  EXPECT_EQ(in_frame[0].width, 6);
  EXPECT_EQ(in_frame[0].height, 4);
  EXPECT_EQ(in_frame[0].emissivity, 0.3);
  const auto mixed = Read(kBoth + "1,2,3,4,,,,,0.5,\n,,,,5,6,7,8,0.15,shield\n");
  ASSERT_EQ(mixed.size(), 2U);
  EXPECT_FALSE(mixed[0].on_board);
  EXPECT_TRUE(mixed[1].on_board);
  EXPECT_EQ(mixed[1].center, Point(5, 6));
  EXPECT_EQ(mixed[1].name, "shield");
  EXPECT_TRUE(Read(kOnBoard).empty());
}

TEST(ReadSurfaceRegions, NamesRowAndColumn) {
  ExpectRefused(kOnBoard + "1,2,3,4,1.4,can\n",
                {"shiny.csv, row 2, column emissivity: 1.4 must lie in (0, 1]"});
  ExpectRefused(kOnBoard + "1,2,3,4,0,can\n", {"row 2, column emissivity: 0 must lie in (0, 1]"});
  ExpectRefused(kOnBoard + "1,2,3,4,shiny,can\n", {"row 2, column emissivity", "'shiny'"});
  ExpectRefused(kInFrame + "1,2,3,4,0.3\n1,2,0,4,0.3\n",
                {"row 3, column width_px: 0 is no size; it must be above 0"});
  ExpectRefused(kInFrame + "1,,3,4,0.3\n", {"row 2, column frame_y"});
  ExpectRefused(kBoth + "1,2,3,4,5,6,7,8,0.5,\n",
                {"row 2, column frame_x: stands beside x_mm; give pixels or millimetres"});
  ExpectRefused(kBoth + ",,,,,,,,0.5,\n", {"row 2, column frame_x"});
  ExpectRefused("frame_x,frame_y,width_px,emissivity\n",
                {"shiny.csv, row 1: column height_px is missing"});
  ExpectRefused("frame_x,frame_y,width_px,height_px\n",
                {"shiny.csv, row 1: column emissivity is missing"});
  ExpectRefused("name,emissivity\n", {"shiny.csv, row 1: tells no places", "x_mm,y_mm"});
  std::string many = kInFrame;
  for (int i = 0; i < 1001; ++i) many += "1,2,3,4,0.5\n";
  ExpectRefused(many, {"shiny.csv: has 1001 regions; give at most 1000"});
}

const std::vector<Part> kParts{{"SH1", {10, 10}, 8, 6, BoardSide::kTop, "Can"},
                               {"SH2", {30, 10}, 8, 6, BoardSide::kTop, "can"},
                               {"SH3", {50, 10}, 8, 6, BoardSide::kBottom, "can"},
                               {"Y1", {20, 30}, 0, 0, BoardSide::kTop, "crystal"},
                               {"C1", {5, 5}, 2, 1, BoardSide::kTop, "cap"}};

std::vector<SurfaceRegion> Of(const std::string& text) {
  return SurfacesOfParts(text, "case.ini, line 9: surface.parts", kParts, BoardSide::kTop);
}

TEST(SurfacesOfParts, TakesKindsAndBeforeThemNames) {
  const auto regions = Of("SH2 0.15, can 0.3");
  ASSERT_EQ(regions.size(), 2U);  // The third lies on the other side.
  EXPECT_EQ(regions[0].name, "SH1");
  EXPECT_EQ(regions[0].emissivity, 0.3);
  EXPECT_TRUE(regions[0].on_board);
  EXPECT_EQ(regions[0].center, Point(10, 10));
  EXPECT_EQ(regions[0].width, 8);
  EXPECT_EQ(regions[1].name, "SH2");
  EXPECT_EQ(regions[1].emissivity, 0.15);
}

TEST(SurfacesOfParts, SaysWhatAWordShouldBe) {
  const auto refused = [](const std::string& text, const std::vector<std::string>& parts) {
    ExpectError<InputError>([&] { (void)Of(text); }, parts);
  };
  refused("shield 0.3",
          {"case.ini, line 9: surface.parts: 'shield' is neither name nor kind of a part on the "
           "side in view; of kinds the list has can, cap, crystal"});
  refused(
      "can",
      {"line 9: surface.parts: 'can' is not a kind or name and its emissivity", "can 0.3, SH2"});
  refused("can 1.5", {"'can 1.5' is not a kind or name and its emissivity in (0, 1]"});
  refused("can 0.3 0.4", {"'can 0.3 0.4'"});
  refused("SH3 0.3",
          {"'SH3' is on the bottom, and the frames show the top; remove it here, or set side = "
           "bottom in [board]"});
  // A decimal comma parts the entry in two; so does a comma between name and number.
  refused("SH2 0,3", {"'SH2 0' is not", "a comma the entries, decimals take a point", "SH2 0.15"});
  refused("SH2, 0.3", {"'SH2' is not", "a blank parts the two", "SH2 0.15"});
  refused("crystal 0.4",
          {"the list gives no size of 'crystal'; give its outline in surface.regions"});
}

TEST(LoadCase, LaysTheTableOfRegionsOverTheParts) {
  CaseFolder folder;
  folder.Set("board.side", "top");
  folder.folder().Write("parts.csv",
                        "ref,x_mm,y_mm,width_mm,height_mm,side,kind\n"
                        "SH1,1,2,1,0.5,top,can\n");
  folder.folder().Write("shiny.csv", kInFrame + "3,4,2,2,0.2\n");
  folder.Set("surface.parts", "can 0.35");
  folder.Set("surface.regions", "shiny.csv");
  const auto file = folder.Ini();
  const Case job = LoadCase(file);
  const auto regions = SurfaceRegionsOf(job.frames.get());
  ASSERT_EQ(regions.size(), 2U);
  EXPECT_EQ(regions[0].emissivity, 0.35);
  EXPECT_EQ(regions[1].emissivity, 0.2);
  const std::string told = "2 places of another emissivity, 0.2 to 0.35: SH1 and 1 more";
  const Assumption* assumed = FindAssumed(job.assumed, "surface.regions");
  ASSERT_TRUE(assumed);
  EXPECT_EQ(assumed->value, told);
  const auto notes = DescribeFiles(job, ListCaseFiles(file));
  EXPECT_TRUE(std::any_of(notes.begin(), notes.end(), [&](const FileNote& note) {
    return note.role == "regions" && note.name == "shiny.csv" &&
           SayClauses(note.understood) == told;
  }));
}

TEST(LoadCase, NamesTheSettingOfAMissingTableOfRegions) {
  CaseFolder folder;
  folder.Set("surface.regions", "gone.csv");
  ExpectError<InputError>([&] { (void)LoadCase(folder.Ini()); }, {"gone.csv", "surface.regions"});
}

}  // namespace
}  // namespace ohmglow
