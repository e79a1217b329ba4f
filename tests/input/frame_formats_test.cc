// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "case_folder.h"
#include "expect_error.h"
#include "input/count_pages.h"
#include "input/frame_unit.h"
#include "input/name_times.h"
#include "input/number_rows.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/unknown_scale.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using testing::ExpectError;
using testing::LargestDifference;
using testing::RampPage;
using testing::TempFolder;
using testing::WriteTiff;
using std::string_literals::operator""s;

cv::Mat ReadPage(CountPages& pages, int page) {
  cv::Mat counts;
  pages.Read(page, counts);
  return counts.clone();
}

// Bytes of samples as a machine with the least significant byte first holds them.
std::string Bytes(const cv::Mat& page) {
  return {reinterpret_cast<const char*>(page.data), page.total() * page.elemSize()};
}

TEST(RawFrames, HaveAnOffsetAGapAndAType) {
  const TempFolder folder;
  const auto file = folder.Write("f.raw", "headerab\x12\x34gapp\x56\x78"s);
  FrameFormat format{.width_px = 1, .height_px = 1, .offset_bytes = 8, .gap_bytes = 4};
  format.sample = *ParseSampleFormat("u16be");
  const auto pages = OpenCounts(file, format);
  ASSERT_EQ(pages->count(), 2);
  EXPECT_EQ(ReadPage(*pages, 0).at<std::uint16_t>(0), 0x1234);
  EXPECT_EQ(ReadPage(*pages, 1).at<std::uint16_t>(0), 0x5678);
}

TEST(RawFrames, LoseAFrameThatIsCutShortOnlyWhereTheWidthIsRight) {
  const TempFolder folder;
  std::string data;
  cv::Mat_<std::uint16_t> page(16, 24);
  for (int y = 0; y < 16; ++y) {
    for (int x = 0; x < 24; ++x) page(y, x) = static_cast<std::uint16_t>(30000 + x * 37 % 101 + y);
  }
  for (int i = 0; i < 12; ++i) data += Bytes(page);
  const auto file = folder.Write("f.raw", data.substr(0, data.size() - 100));
  const auto pages = OpenCounts(file, {24, 16});
  EXPECT_EQ(pages->count(), 11);
  EXPECT_TRUE(pages->cut_off());
  EXPECT_EQ(pages->Notes(),
            std::vector<std::string>{
                file.string() + ": the recording is cut off; 1 of 12 frames at its end is lost"});
  ExpectError<InputError>([&] { (void)OpenCounts(file, {23, 16}); }, {"no whole number of frames"});
}

TEST(SampleFormat, KnowsItsWords) {
  EXPECT_EQ(ParseSampleFormat("f64be")->type, SampleType::kF64);
  EXPECT_TRUE(ParseSampleFormat("f64be")->big_endian);
  EXPECT_EQ(ParseSampleFormat("U8")->type, SampleType::kU8);
  EXPECT_FALSE(ParseSampleFormat("u16"));
  EXPECT_FALSE(ParseSampleFormat("f8le"));
}

// IEEE 754-2008, binary16: 0x5CB0 is 300, 0xFC00 minus infinity.
TEST(SampleFormat, ReadsHalfFloats) {
  cv::Mat counts(1, 2, CV_32F);
  ToCounts("\xB0\x5C\x00\xFC", {SampleType::kF16}, counts);
  EXPECT_EQ(counts.at<float>(0), 300.0F);
  EXPECT_EQ(counts.at<float>(1), -INFINITY);
}

// Netpbm, pfm(5): the lowest row first; a negative third number: least significant byte first.
TEST(PfmFrames, StandUpright) {
  const TempFolder folder;
  const cv::Mat stored = (cv::Mat_<float>(2, 1) << 1, 2);
  const auto pages = OpenCounts(folder.Write("f.pfm", "Pf\n1 2\n-1.0\n" + Bytes(stored)), {});
  EXPECT_EQ(ReadPage(*pages, 0).at<float>(0), 2);
}

// Netpbm, pgm(5), plain format.
TEST(PgmFrames, ReadNumbersAsText) {
  const TempFolder folder;
  const auto pages = OpenCounts(folder.Write("f.pgm", "P2\n# two\n2 1 4095\n17 4095\n"), {});
  EXPECT_EQ(ReadPage(*pages, 0).at<std::uint16_t>(0), 17);
  EXPECT_EQ(ReadPage(*pages, 0).at<std::uint16_t>(1), 4095);
}

TEST(FrameCrop, TakesAPartOfEachFrame) {
  CaseFolder folder;
  folder.Set("frames.crop", "2 1 5 4");
  const Case job = LoadCase(folder.Ini());
  EXPECT_EQ(job.frames->size_px(), cv::Size(5, 4));
  CaseFolder whole;
  Image part;
  Image all;
  job.frames->Read(1, part);
  LoadCase(whole.Ini()).frames->Read(1, all);
  EXPECT_EQ(cv::norm(part, all(cv::Rect(2, 1, 5, 4)), cv::NORM_INF), 0);
}

float One(const std::string& line) {
  float value = 0;
  EXPECT_EQ(ReadNumbers(line, TellStyle(line), &value, 1), 2) << line;
  return value;
}

TEST(NumberRows, TellsDelimiterAndDecimalSign) {
  EXPECT_FLOAT_EQ(One("25.5,26.5"), 25.5F);
  EXPECT_FLOAT_EQ(One("25,5;26,5"), 25.5F);
  EXPECT_FLOAT_EQ(One("25,5\t26,5\r"), 25.5F);
  EXPECT_FLOAT_EQ(One("25,5 26,5"), 25.5F);
  EXPECT_FLOAT_EQ(One("25.5, 26.5"), 25.5F);
  EXPECT_FLOAT_EQ(One("  25.5   26.5 "), 25.5F);
  EXPECT_FLOAT_EQ(One("-1.5e1;2"), -15);
  EXPECT_FLOAT_EQ(One("+25.5 \xC2\xB0"
                      "C;26.5 \xC2\xB0"
                      "C;"),
                  25.5F);
  EXPECT_FLOAT_EQ(One("\"25,5\";\"26,5\""), 25.5F);
  EXPECT_TRUE(std::isnan(One(";26,5")));
  EXPECT_TRUE(std::isnan(One("nan 26.5")));
  float none = 0;
  EXPECT_EQ(ReadNumbers("emissivity;0.95", {';'}, &none, 0), -1);
  EXPECT_EQ(ReadNumbers("12:30:05;1", {';'}, &none, 0), -1);
  EXPECT_EQ(ReadNumbers("-;-", {';'}, &none, 0), -1);
}

TEST(TableFrames, SayWhatIsWrong) {
  const TempFolder folder;
  const auto expect = [&](const std::string& text, const std::vector<std::string>& parts) {
    const auto file = folder.Write("t.csv", text);
    ExpectError<InputError>(
        [&] {
          const auto pages = OpenCounts(file, {});
          for (int i = 0; i < pages->count(); ++i) (void)ReadPage(*pages, i);
        },
        parts);
  };
  expect("no numbers\nat all\n", {"t.csv: holds no rows of numbers"});
  std::string tall;
  for (int i = 0; i < 100; ++i) tall += "25.1 25.2\n";
  expect(tall, {"100 rows of 2 numbers without a break", "frames.height_px"});
  expect("1.5 2\n3 4\n\n5 6\n\n7 8\n\n", {"blocks of 2 and of other numbers of rows"});
  expect("\xFF\xFE\x31", {"UTF-16"});
}

// Days and seconds: ISO 8601; 1764353100 is 2025-11-28 18:05:00 UTC, from memory of
// 1735689600 for 2025-01-01 and 331 days after.
TEST(NameTimes, CountsSecondsSince1970) {
  EXPECT_EQ(SecondsSince1970(1970, 1, 1, 0, 0, 0), 0);
  EXPECT_EQ(SecondsSince1970(2025, 1, 1, 0, 0, 0), 1735689600);
  EXPECT_EQ(SecondsSince1970(2025, 11, 28, 18, 5, 0), 1735689600 + 331 * 86400 + 65100);
  EXPECT_FALSE(SecondsSince1970(2025, 2, 29, 0, 0, 0));
  EXPECT_FALSE(SecondsSince1970(2025, 1, 1, 24, 0, 0));
}

TEST(NameTimes, FindsStampsThatLeaveNoDoubt) {
  using Names = std::vector<std::string>;
  const auto step = [](const Names& names) {
    const std::vector<double> t = TimesInNames(names);
    return t.size() == 2 ? t[1] - t[0] : -1;
  };
  EXPECT_NEAR(
      step(Names{"IR_20261128_180500_125.tiff", "IR_20261128_180500_250.tiff"}), 0.125, 1e-6);
  EXPECT_NEAR(step(Names{"2026-11-28T18-05-00.5.png", "2026-11-28T18-05-01.0.png"}), 0.5, 1e-6);
  EXPECT_NEAR(step(Names{"f1795889100000.raw", "f1795889100250.raw"}), 0.25, 1e-6);
  // A counter behind the seconds is no fraction of them.
  EXPECT_EQ(step(Names{"20261128_180500_001.tiff", "20261128_180501_002.tiff"}), 1);
  EXPECT_EQ(step(Names{"frame_000100.png", "frame_000101.png"}), -1);
  EXPECT_EQ(step(Names{"20261340_180500.png", "20261340_180501.png"}), -1);
}

TEST(NameTimes, ReadsAPattern) {
  EXPECT_NEAR(*ParseStamp("b7_09-05-30.25x.csv", "b7_%H-%M-%S.%f*"), 9 * 3600 + 330.25, 1e-9);
  EXPECT_FALSE(ParseStamp("b7_09-05.csv", "b7_%H-%M-%S*"));
}

// Frames at 8 Hz whose stamps have whole seconds come within a frame of their times.
TEST(NameTimes, SpreadsWholeSecondsEvenly) {
  std::vector<double> stamps_s;
  for (int i = 0; i < 80; ++i) stamps_s.push_back(std::floor(100.3 + i / 8.0));
  const std::vector<double> times_s = SpreadStamps(stamps_s);
  ASSERT_EQ(times_s.size(), stamps_s.size());
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    EXPECT_NEAR(times_s[i], 100.3 + static_cast<double>(i) / 8, 0.15);
  }
  EXPECT_TRUE(SpreadStamps({5, 5, 5}).empty());
  EXPECT_TRUE(SpreadStamps({5, 4}).empty());
}

// Stamps with fractions are times: one that stands twice does not move the others.
TEST(NameTimes, NudgesAStampThatStandsTwice) {
  using Times = std::vector<double>;
  EXPECT_EQ(SpreadStamps({1.5, 1.75, 1.75, 2.25, 7}), (Times{1.5, 1.75, 2, 2.25, 7}));
  EXPECT_EQ(SpreadStamps({1.5, 2, 2}), (Times{1.5, 2, 2.25}));
  EXPECT_EQ(SpreadStamps({1.5, 2, 2, 2, 3}), (Times{1.5, 2, 2, 2, 3}));
}

TEST(FrameTimes, ComeFromFileNamesAndFromTiffPages) {
  CaseFolder folder;
  folder.Remove("frames.times");
  for (int i = 0; i < 3; ++i) {
    std::filesystem::create_directories(folder.folder() / "raw");
    WriteTiff(folder.folder() / ("raw/20261128_180500_" + std::to_string(100 + 250 * i) + ".tiff"),
              {RampPage(i, {12, 8}, CV_16U)});
  }
  folder.Set("frames.source", "raw");
  const Case job = LoadCase(folder.Ini());
  ASSERT_EQ(job.frame_times_s.size(), 3U);
  EXPECT_NEAR(job.frame_times_s[2], 0.5, 1e-6);
  ASSERT_EQ(job.assumed.size(), 1U);
  EXPECT_EQ(ToText(job.assumed[0]), "frames.times = from the files' names (3 frames in 0.5 s)");
}

// 1 degree Fahrenheit is 5/9 K, 32 of them 273.15 K: SI Brochure, 9th ed., 2.3.1 and
// NIST SP 811 (2008), B.9.
TEST(FrameUnit, IsToldByARoom) {
  const TempFolder folder;
  const auto kelvin_of = [&](double value, int type) {
    const cv::Mat page(4, 5, type, cv::Scalar(value));
    WriteTiff(folder / "f.tiff", {page});
    const auto pages = OpenCounts(folder / "f.tiff", {});
    const auto unit = TellCountUnit("f.tiff", *pages);
    return unit ? unit->zero_k + unit->scale_k * value : -1;
  };
  EXPECT_NEAR(kelvin_of(26.5, CV_32F), 299.65, 1e-9);
  EXPECT_NEAR(kelvin_of(299.5, CV_32F), 299.5, 1e-9);
  EXPECT_NEAR(kelvin_of(29815, CV_16U), 298.15, 1e-9);
  EXPECT_NEAR(kelvin_of(19082, CV_16U), 298.16, 0.01);
  EXPECT_NEAR(kelvin_of(2500, CV_16S), 298.15, 1e-9);
  EXPECT_NEAR(kelvin_of(250, CV_16S), 298.15, 1e-9);
  EXPECT_EQ(kelvin_of(128, CV_8U), -1);  // A picture.
  EXPECT_EQ(kelvin_of(9000, CV_16U), -1);
  EXPECT_EQ(kelvin_of(700.5, CV_32F), -1);
  ExpectError<UnknownScaleError>([&] { (void)kelvin_of(2950, CV_16U); },
                                 {"tenths of a kelvin (21.9",
                                  "hundredths of a degree Celsius (29.5",
                                  "scale = 0.1 and zero = 0 or scale = 0.01 and zero = 273.15",
                                  "--unit \"0.1 0\" or \"0.01 273.15\"",
                                  "unit = relative or --unit relative"});
  // A room in Fahrenheit or a hot board in Celsius.
  for (const double value : {70.0, 77.9, 120.5}) {
    ExpectError<UnknownScaleError>([&] { (void)kelvin_of(value, CV_32F); },
                                   {"degrees Celsius (",
                                    "degrees Fahrenheit (",
                                    "unit = celsius or unit = fahrenheit",
                                    "--unit celsius or fahrenheit"});
  }
  // Of many pixels an even picture at 70 degrees Celsius is no board, an uneven one may be.
  const auto fahrenheit = [&](float coldest) {
    cv::Mat page(40, 50, CV_32F, cv::Scalar(70.5));
    page.rowRange(0, 2).setTo(coldest);
    WriteTiff(folder / "f.tiff", {page});
    const auto pages = OpenCounts(folder / "f.tiff", {});
    return TellCountUnit("f.tiff", *pages)->name;
  };
  EXPECT_EQ(fahrenheit(69.5F), "degrees Fahrenheit");
  EXPECT_THROW((void)fahrenheit(60.0F), InputError);
  // No room is that cold: a scale of the camera's own is as likely.
  ExpectError<UnknownScaleError>([&] { (void)kelvin_of(860, CV_16U); },
                                 {"hundredths of a degree Celsius (8.6", "the camera's own"});
}

TEST(FrameUnit, IsGivenWithAScaleOfItsOwn) {
  CaseFolder folder;
  WriteTiff(folder.folder() / "frames.tiff",
            std::vector<cv::Mat>(4, cv::Mat(3, 3, CV_16S, cv::Scalar(2650))));
  folder.Set("surface.emissivity", "1");
  folder.Set("frames.unit", "celsius");
  Image kelvin;
  LoadCase(folder.Ini()).frames->Read(0, kelvin);
  EXPECT_NEAR(static_cast<double>(kelvin(1, 1)), 299.65, 5e-5);
  folder.Set("frames.unit", "rankine");
  ExpectError<InputError>([&] { (void)LoadCase(folder.Ini()); },
                          {"frames.unit", "'rankine'", "kelvin, celsius, fahrenheit"});
}

}  // namespace
}  // namespace ohmglow
