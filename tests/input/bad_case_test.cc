// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "case_folder.h"
#include "expect_error.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using testing::ExpectError;
using testing::RampPage;
using testing::TempFolder;
using testing::WriteTiff;

void ExpectCaseError(const std::filesystem::path& file, const std::vector<std::string>& parts) {
  ::testing::internal::CaptureStderr();
  ExpectError<InputError>([&] { (void)LoadCase(file); }, parts);
  EXPECT_EQ(::testing::internal::GetCapturedStderr(), "");
}

// A correct case but for one setting.
struct BadSetting {
  const char* name;
  const char* value;
  std::vector<std::string> parts;
};

class BadCaseSetting : public ::testing::TestWithParam<BadSetting> {};

TEST_P(BadCaseSetting, IsNamedWithItsLineAndItsRule) {
  CaseFolder folder;
  folder.Set(GetParam().name, GetParam().value);
  std::vector<std::string> parts = GetParam().parts;
  parts.push_back(GetParam().name);
  ExpectCaseError(folder.Ini(), parts);
}

INSTANTIATE_TEST_SUITE_P(
    All,
    BadCaseSetting,
    ::testing::Values(
        BadSetting{"frames.rate_hz", "0", {"case.ini, line ", "'0'", "must be > 0"}},
        BadSetting{"frames.rate_hz", "8 Hz", {"'8 Hz' is not a finite number", "units"}},
        BadSetting{"frames.scale", "-0.01", {"line ", "must be > 0"}},
        BadSetting{"frames.scale", "0,01", {"'0,01' is not a finite number"}},
        BadSetting{"frames.scale", "nan", {"'nan' is not a finite number"}},
        BadSetting{"frames.zero", "inf", {"'inf' is not a finite number"}},
        BadSetting{"frames.width_px", "2.5", {"whole number"}},
        BadSetting{"frames.width_px", "3", {"frames.height_px", "both"}},
        BadSetting{"frames.source", "", {"is empty", "name a file"}},
        BadSetting{"frames.source", "no.tiff", {"no.tiff: no such file"}},
        BadSetting{"frames.times", "no.csv", {"no.csv: no such file"}},
        BadSetting{"supply.log", ".", {"is a folder"}},
        BadSetting{"supply.clock_offset_s", "automatic", {"'automatic'", "not auto"}},
        BadSetting{"board.side", "left", {"'left'", "top or bottom"}},
        BadSetting{"board.parts_bottom_x", "yes", {"'yes'", "must be same or mirrored"}},
        BadSetting{"board.mm_per_pixel", "0", {"must be > 0"}},
        BadSetting{"board.mm_per_pixel", "auto", {"'auto' is not a finite number"}},
        BadSetting{"board.thickness_mm", "-1.6", {"must be > 0"}},
        BadSetting{"board.sheet_conductance_w_k", "0", {"must be > 0"}},
        BadSetting{"board.heat_capacity_j_m2k", "x", {"'x'", "not auto"}},
        BadSetting{"board.photo", "no.png", {"no.png: no such file"}},
        BadSetting{"board.points", "no.csv", {"no.csv: no such file"}},
        BadSetting{"board.parts", "no.csv", {"no.csv: no such file"}},
        BadSetting{"board.contacts", "no.csv", {"no.csv: no such file"}},
        BadSetting{"surface.emissivity", "0", {"(0, 1]"}},
        BadSetting{"surface.emissivity", "1.2", {"(0, 1]"}},
        BadSetting{"surface.reflected_c", "-300", {"-100 .. 1000"}},
        BadSetting{"surface.film_w_m2k", "0", {"must be > 0"}},
        BadSetting{"surface.emisivity", "0.9", {"unknown key", "surface.emissivity"}}));

// A correct case but for one file.
struct BadFile {
  const char* name;
  const char* text;
  std::vector<std::string> parts;
};

class BadCaseFile : public ::testing::TestWithParam<BadFile> {};

TEST_P(BadCaseFile, IsNamedWithRowAndColumn) {
  const CaseFolder folder;
  folder.folder().Write(GetParam().name, GetParam().text);
  std::vector<std::string> parts = GetParam().parts;
  parts.push_back(GetParam().name);
  ExpectCaseError(folder.Ini(), parts);
}

INSTANTIATE_TEST_SUITE_P(
    All,
    BadCaseFile,
    ::testing::Values(
        BadFile{"frames.csv", "index,time_s\n0,1\n1,2\n", {"2 rows of times", "4 frames"}},
        BadFile{"frames.csv", "index,time_s\n0,1\n1,x\n", {"row 3, column time_s", "'x'"}},
        BadFile{"frames.csv", "time_s\n0\n1\n2\n3\n", {"row 1: column index is missing"}},
        BadFile{"supply.csv", "", {"is empty"}},
        BadFile{"supply.csv", "time_s,volts,amps\n0,0,0\n", {"1 data rows"}},
        BadFile{"supply.csv",
                "time_s,volts,amps\n5,0,0\n4,0,0\n",
                {"row 3, column time_s", "backwards"}},
        BadFile{"points.csv", "frame_x,frame_y,photo_x\n", {"column photo_y is missing"}},
        BadFile{"parts.csv",
                "ref,x_mm,y_mm,width_mm,height_mm,side\nC1,0,0,1,1,up\n",
                {"row 2, column side", "'up'"}},
        BadFile{"contacts.csv", "frame_x,frame_y,name\n1,,a\n", {"row 2, column frame_y"}},
        BadFile{"photo.png", "no picture", {"is no picture"}},
        BadFile{"frames.tiff", "", {"is empty"}},
        BadFile{"frames.tiff", "hello, I am text", {"holds no rows of numbers"}},
        BadFile{"frames.tiff", "II*", {"holds no rows of numbers"}}));

TEST(BadCase, NamesAMissingCaseFile) {
  const TempFolder folder;
  ExpectCaseError(folder / "case.ini", {"case.ini: no such file"});
  ExpectCaseError(folder.path(), {"is a folder", "name a file in it"});
}

TEST(BadCase, NeedsASourceOfFrames) {
  const TempFolder folder;
  ExpectCaseError(folder.Write("case.ini", "title = x\n"), {"case.ini: frames.source is missing"});
  ExpectCaseError(folder.Write("empty.ini", ""), {"empty.ini: frames.source is missing"});
}

TEST(BadCase, NoticesDegreesCelsiusTakenForKelvin) {
  CaseFolder folder;
  WriteTiff(folder.folder() / "frames.tiff", {cv::Mat(3, 3, CV_32F, cv::Scalar(26.5))});
  folder.Remove("frames.scale");
  ExpectCaseError(folder.Ini(),
                  {"frames.tiff:", "median count 26.5 means 26.5 K", "zero = 273.15"});
}

TEST(BadCase, NoticesAFrameWithoutValues) {
  const CaseFolder folder;
  WriteTiff(folder.folder() / "frames.tiff",
            {cv::Mat(3, 3, CV_32F, cv::Scalar(std::numeric_limits<double>::quiet_NaN()))});
  ExpectCaseError(folder.Ini(), {"frames.tiff: the first frame holds no finite value"});
}

TEST(BadCase, NamesAColourPageAndAPageOfAnotherSize) {
  const CaseFolder folder;
  WriteTiff(folder.folder() / "frames.tiff",
            {cv::Mat(8, 12, CV_8UC3, cv::Scalar(1, 2, 3))},
            {.photometric = PHOTOMETRIC_RGB});
  ExpectCaseError(folder.Ini(), {"frames.tiff, page 1:", "samples per pixel"});
  const cv::Mat page = RampPage(0, {12, 8}, CV_16U);
  WriteTiff(folder.folder() / "frames.tiff", {page, RampPage(0, {8, 12}, CV_16U), page, page});
  ExpectCaseError(folder.Ini(), {"frames.csv: has 4 rows of times but there are 3 frames"});
}

// Text of a file never breaks the one line of a message nor the terminal.
TEST(BadCase, QuotesOddTextSafely) {
  CaseFolder folder;
  folder.folder().Write("supply.csv",
                        "time_s,volts,amps\n0,\"\x1B[2J\n" + std::string(500, 'x') + "\",0\n");
  ExpectCaseError(folder.Ini(), {"row 2, column volts: '?[2J?xxx", "...'"});
}

TEST(BadCase, RefusesAFrameThatIsNotThere) {
  const CaseFolder folder;
  const Case job = LoadCase(folder.Ini());
  Image kelvin;
  EXPECT_THROW(job.frames->Read(4, kelvin), std::logic_error);
  EXPECT_THROW(job.frames->Read(-1, kelvin), std::logic_error);
}

}  // namespace
}  // namespace ohmglow
