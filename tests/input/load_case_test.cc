// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "case_folder.h"
#include "input/case_remarks.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/radiometry.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using testing::RampPage;
using testing::WriteTiff;
using Lines = std::vector<std::string>;

// Not countNonZero(k != k): OpenCV's vector comparison calls NaN equal to itself.
std::ptrdiff_t CountNan(const Image& kelvin) {
  return std::count_if(kelvin.begin(), kelvin.end(), [](float k) { return std::isnan(k); });
}

TEST(LoadCase, ReadsPartsThatASpreadsheetSavedAgain) {
  CaseFolder folder;
  folder.folder().Write("parts.csv",
                        "ref;x_mm;y_mm;width_mm;height_mm;side;kind\r\n"
                        "C1;1,5;2;1;0,5;top;capacitor\r\nU1;20,25;12;4;4;bottom;ic\r\n");
  const Case job = LoadCase(folder.Ini());
  ASSERT_EQ(job.parts.size(), 2U);
  EXPECT_EQ(job.parts[1].center_mm, Point(20.25, 12));
  EXPECT_EQ(job.parts[0].height_mm, 0.5);
  EXPECT_EQ(job.parts[1].side, BoardSide::kBottom);
  EXPECT_EQ(job.parts[1].kind, "ic");
  EXPECT_EQ(ToTexts(job.assumed), Lines{});
}

TEST(LoadCase, TellsPathsThatLeaveTheFolder) {
  const testing::TempFolder other;
  CaseFolder changed;
  const auto list =
      other.Write("parts.csv", "ref,x_mm,y_mm,width_mm,height_mm,side\nC1,1,2,1,1,top\n");
  changed.Set("board.parts", list.string());
  EXPECT_EQ(ToTexts(LoadCase(changed.Ini()).assumed),
            Lines{"board.parts = " + list.string() + " (outside the case's folder)"});
  // A link that leads outside says no less.
  std::filesystem::create_symlink(list, changed.folder() / "link.csv");
  changed.Set("board.parts", "link.csv");
  EXPECT_EQ(ToTexts(LoadCase(changed.Ini()).assumed),
            Lines{"board.parts = link.csv (outside the case's folder)"});
  changed.Set("board.parts", "./parts.csv");
  EXPECT_EQ(ToTexts(LoadCase(changed.Ini()).assumed), Lines{});
}

TEST(LoadCase, TakesLoggedVoltsBeforeASetting) {
  CaseFolder folder;
  folder.Set("supply.volts", "5");
  EXPECT_FALSE(LoadCase(folder.Ini()).most_volts_v);
  folder.folder().Write("supply.csv", "time_s,amps\n0,0\n0.5,0.25\n");
  EXPECT_EQ(LoadCase(folder.Ini()).most_volts_v, 5);
}

TEST(LoadCase, ReadsEveryKey) {
  const CaseFolder folder;
  const Case job = LoadCase(folder.Ini());
  EXPECT_EQ(job.title, "Tide gauge");
  EXPECT_EQ(job.file, folder.folder() / "case.ini");
  ASSERT_TRUE(job.frames);
  EXPECT_EQ(job.frames->count(), 4);
  EXPECT_EQ(job.frames->size_px(), cv::Size(12, 8));
  EXPECT_EQ(job.frame_times_s, (std::vector<double>{10, 10.1, 10.25, 10.3}));
  ASSERT_TRUE(job.supply);
  EXPECT_EQ(job.supply->amps_a, (std::vector<double>{0, 0.25}));
  EXPECT_FALSE(job.clock_offset_s);
  EXPECT_EQ(job.side, BoardSide::kBottom);
  EXPECT_EQ(job.mm_per_pixel, 0.45);
  EXPECT_EQ(job.thickness_mm, 1.2);
  EXPECT_EQ(job.sheet_conductance_w_k, 0.02);
  EXPECT_EQ(job.heat_capacity_j_m2k, 2100);
  EXPECT_EQ(job.photo.size(), cv::Size(6, 4));
  EXPECT_EQ(job.photo.at<cv::Vec3b>(0, 0), cv::Vec3b(9, 8, 7));
  EXPECT_EQ(job.landmarks.size(), 4U);
  ASSERT_EQ(job.parts.size(), 1U);
  ASSERT_EQ(job.contacts.size(), 1U);
  EXPECT_EQ(job.emissivity, 0.9);
  EXPECT_EQ(job.film_w_m2k, 9);
  EXPECT_EQ(ToTexts(job.assumed), Lines{});
}

TEST(LoadCase, TellsEveryDefaultThatTookPart) {
  CaseFolder folder;
  for (const char* name : {"frames.scale",
                           "frames.zero",
                           "frames.times",
                           "supply.clock_offset_s",
                           "board.side",
                           "board.mm_per_pixel",
                           "board.thickness_mm",
                           "board.sheet_conductance_w_k",
                           "board.heat_capacity_j_m2k",
                           "board.points",
                           "surface.emissivity",
                           "surface.reflected_c",
                           "surface.film_w_m2k"}) {
    folder.Remove(name);
  }
  const Case job = LoadCase(folder.Ini());
  EXPECT_EQ(ToTexts(job.assumed),
            (Lines{"surface.emissivity = 0.93",
                   "surface.reflected_c = 23 degrees Celsius",
                   "surface.film_w_m2k = 10 W/(m2 K)",
                   "frames.scale = 0.01 K per count",
                   "frames.zero = 0 K",
                   "frames.rate_hz = 8 Hz",
                   "supply.clock_offset_s = auto",
                   "board.side = top",
                   "board.mm_per_pixel = as the parts list lies on the picture",
                   "board.thickness_mm = 1.6 mm",
                   "board.sheet_conductance_w_k = auto",
                   "board.heat_capacity_j_m2k = auto"}));
  EXPECT_EQ(job.frame_times_s, (std::vector<double>{0, 0.125, 0.25, 0.375}));
}

TEST(LoadCase, NeedsNoMoreThanFrames) {
  const testing::TempFolder folder;
  WriteTiff(folder / "f.tiff", {RampPage(0, {5, 4}, CV_16U)});
  const Case job = LoadCase(folder.Write("case.ini", "[frames]\r\nsource = f.tiff ; all\r\n"));
  EXPECT_EQ(job.frames->count(), 1);
  EXPECT_FALSE(job.supply);
  EXPECT_TRUE(job.photo.empty());
  EXPECT_TRUE(job.landmarks.empty());
}

TEST(LoadCase, TakesTheScaleFromLandmarks) {
  CaseFolder folder;
  folder.Remove("board.mm_per_pixel");
  const Case job = LoadCase(folder.Ini());
  EXPECT_EQ(job.mm_per_pixel, 0.5);
  EXPECT_EQ(ToTexts(job.assumed), Lines{"board.mm_per_pixel = 0.5 mm (from board.points)"});
}

TEST(LoadCase, TakesTwoLandmarksForTooFew) {
  CaseFolder folder;
  folder.Remove("board.mm_per_pixel");
  folder.folder().Write("points.csv",
                        "frame_x,frame_y,photo_x,photo_y,board_x_mm,board_y_mm\n"
                        "0,0,1,1,0,0\n10,0,5,1,9,0\n0,6,1,3,,\n");
  EXPECT_EQ(ToTexts(LoadCase(folder.Ini()).assumed),
            Lines{"board.mm_per_pixel = as the parts list lies on the picture"});
  folder.Remove("board.parts");
  const Case alone = LoadCase(folder.Ini());
  EXPECT_EQ(ToTexts(alone.assumed), Lines{"board.mm_per_pixel = 0.5 mm (a guess)"});
  EXPECT_TRUE(ScaleIsGuess(alone.assumed));
}

TEST(LoadCase, KnowsAClockOffsetAndARate) {
  CaseFolder folder;
  folder.Set("supply.clock_offset_s", "-1.5");
  folder.Remove("frames.times");
  folder.Set("frames.rate_hz", "4");
  const Case job = LoadCase(folder.Ini());
  EXPECT_EQ(job.clock_offset_s, -1.5);
  EXPECT_EQ(job.frame_times_s, (std::vector<double>{0, 0.25, 0.5, 0.75}));
}

TEST(LoadCase, TurnsCountsIntoObjectTemperature) {
  const CaseFolder folder;
  const Case job = LoadCase(folder.Ini());
  Image kelvin;
  job.frames->Read(2, kelvin);
  const cv::Mat counts = RampPage(2, {12, 8}, CV_16U);
  const ObjectTemperature surface({.emissivity = 0.9, .reflected_k = 273.15 + 21.5});
  for (int y = 0; y < 8; ++y) {
    for (int x = 0; x < 12; ++x) {
      const double expected = surface.FromApparent(0.01 * counts.at<std::uint16_t>(y, x));
      EXPECT_NEAR(static_cast<double>(kelvin(y, x)), expected, 2e-5);
    }
  }
}

// Zero degrees Celsius is 273.15 K: SI Brochure, 9th ed., 2.3.1 (from memory).
TEST(LoadCase, TakesDegreesCelsiusWithTheirZero) {
  CaseFolder folder;
  WriteTiff(folder.folder() / "c.tiff", {cv::Mat(3, 3, CV_32F, cv::Scalar(26.5))});
  folder.Set("frames.source", "c.tiff");
  folder.Set("frames.zero", "273.15");
  folder.Set("surface.emissivity", "1");
  folder.Remove("frames.scale");
  folder.Remove("frames.times");
  folder.Set("frames.rate_hz", "8");
  const Case job = LoadCase(folder.Ini());
  EXPECT_EQ(ToTexts(job.assumed), Lines{"frames.scale = 1 K per count"});
  Image kelvin;
  job.frames->Read(0, kelvin);
  EXPECT_NEAR(static_cast<double>(kelvin(1, 1)), 299.65, 2e-5);
}

TEST(LoadCase, MarksTheEndsOfTheCountsRange) {
  CaseFolder folder;
  cv::Mat page = RampPage(0, {12, 8}, CV_16U);
  page.at<std::uint16_t>(0, 0) = 0;
  page.at<std::uint16_t>(0, 1) = 65535;
  page.at<std::uint16_t>(0, 2) = 65534;
  WriteTiff(folder.folder() / "frames.tiff", {page, page, page, page});
  const Case job = LoadCase(folder.Ini());
  Image kelvin;
  job.frames->Read(0, kelvin);
  EXPECT_TRUE(std::isnan(kelvin(0, 0)));
  EXPECT_TRUE(std::isnan(kelvin(0, 1)));
  EXPECT_GT(kelvin(0, 2), 655.34F);  // Hot but not saturated: the grey surface is hotter still.
  EXPECT_EQ(CountNan(kelvin), 2);
}

TEST(LoadCase, KeepsHolesOfFloatFrames) {
  CaseFolder folder;
  cv::Mat page(8, 12, CV_32F, cv::Scalar(300));
  page.at<float>(1, 2) = std::nanf("");
  page.at<float>(3, 4) = INFINITY;
  WriteTiff(folder.folder() / "frames.tiff", {page, page, page, page});
  folder.Set("frames.scale", "1");
  const Case job = LoadCase(folder.Ini());
  Image kelvin;
  job.frames->Read(3, kelvin);
  EXPECT_TRUE(std::isnan(kelvin(1, 2)));
  EXPECT_TRUE(std::isnan(kelvin(3, 4)));
  EXPECT_EQ(CountNan(kelvin), 2);
}

TEST(LoadCase, ReadsSignedCountsAroundTheirZero) {
  CaseFolder folder;
  const cv::Mat page(8, 12, CV_16S, cv::Scalar(-150));
  WriteTiff(folder.folder() / "frames.tiff", {page, page, page, page});
  folder.Set("frames.zero", "298.15");
  folder.Set("surface.emissivity", "1");
  const Case job = LoadCase(folder.Ini());
  Image kelvin;
  job.frames->Read(0, kelvin);
  EXPECT_NEAR(static_cast<double>(kelvin(0, 0)), 296.65, 2e-5);
}

TEST(LoadCase, ReadsRawFramesOfAGivenSize) {
  CaseFolder folder;
  std::string data;
  for (int i = 0; i < 2 * 6; ++i) data += "\x30\x75";  // 30000
  folder.folder().Write("f.raw", data);
  folder.Set("frames.source", "f.raw");
  folder.Set("frames.width_px", "3");
  folder.Set("frames.height_px", "2");
  folder.Set("surface.emissivity", "1");
  folder.Remove("frames.times");
  folder.Set("frames.rate_hz", "1");
  const Case job = LoadCase(folder.Ini());
  EXPECT_EQ(job.frames->count(), 2);
  Image kelvin;
  job.frames->Read(1, kelvin);
  EXPECT_NEAR(static_cast<double>(kelvin(1, 2)), 300, 2e-5);
}

TEST(LoadCase, GivesTheSamePixelsInAnyOrder) {
  const CaseFolder folder;
  const Case job = LoadCase(folder.Ini());
  std::vector<Image> first(4);
  for (int i = 0; i < 4; ++i) job.frames->Read(i, first[static_cast<std::size_t>(i)]);
  for (const int i : {3, 1, 0, 2, 2, 0}) {
    Image again;
    job.frames->Read(i, again);
    EXPECT_EQ(cv::norm(again, first[static_cast<std::size_t>(i)], cv::NORM_INF), 0) << i;
  }
  EXPECT_GT(cv::norm(first[0], first[3], cv::NORM_INF), 0.1);
}

}  // namespace
}  // namespace ohmglow
