// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>

#include "expect_error.h"
#include "input/count_pages.h"
#include "input/photo.h"
#include "input/series_pages.h"
#include "ohmglow/base/error.h"
#include "support/temp_folder.h"
#include "tiff_writer.h"

namespace ohmglow {
namespace {

using testing::ExpectError;
using testing::LargestDifference;
using testing::RampPage;
using testing::TempFolder;
using testing::WriteTiff;
using std::string_literals::operator""s;

void ExpectCountError(const std::filesystem::path& source,
                      const std::vector<std::string>& parts,
                      const FrameFormat& format = {}) {
  ::testing::internal::CaptureStderr();
  ExpectError<InputError>(
      [&] {
        const auto pages = OpenCounts(source, format);
        cv::Mat counts;
        for (int page = 0; page < pages->count(); ++page) pages->Read(page, counts);
      },
      parts);
  EXPECT_EQ(::testing::internal::GetCapturedStderr(), "");
}

cv::Mat ReadPage(CountPages& pages, int page) {
  cv::Mat counts;
  pages.Read(page, counts);
  return counts.clone();
}

// A NPY file of format version 1: NumPy format description (NEP 1), from memory.
std::string Npy(const std::string& dictionary, const std::string& data) {
  std::string header = dictionary;
  header.resize(117, ' ');
  return "\x93NUMPY\x01\x00"s + static_cast<char>(header.size() + 1) + '\0' + header + '\n' + data;
}

// Netpbm, pgm(5): above 255 two bytes, the most significant first.
TEST(PgmFrames, ReadsTwoBytesMostSignificantFirst) {
  const TempFolder folder;
  const auto pages =
      OpenCounts(folder.Write("f.pgm", "P5\n# note\n2 1 65535\n\x12\x34\xAB\xCD"), {});
  EXPECT_EQ(pages->count(), 1);
  const cv::Mat expected = (cv::Mat_<std::uint16_t>(1, 2) << 0x1234, 0xABCD);
  EXPECT_EQ(LargestDifference(ReadPage(*pages, 0), expected), 0);
}

// Netpbm, pgm(5): one byte up to 255; a file may hold several images.
TEST(PgmFrames, ReadsSeveralImagesOfOneFile) {
  const TempFolder folder;
  const auto pages =
      OpenCounts(folder.Write("f.pgm", "P5 2 1 255\n\x01\x02P5 2 1 255\n\x03\x04\n"), {});
  ASSERT_EQ(pages->count(), 2);
  EXPECT_EQ(pages->type(), CV_8U);
  const cv::Mat expected = (cv::Mat_<std::uint8_t>(1, 2) << 3, 4);
  EXPECT_EQ(LargestDifference(ReadPage(*pages, 1), expected), 0);
}

TEST(PgmFrames, SayWhatIsWrong) {
  const TempFolder folder;
  ExpectCountError(folder.Write("a.pgm", "P5 2 2 65535\n\x01\x02"),
                   {"a.pgm, page 1:", "cut short"});
  ExpectCountError(folder.Write("b.pgm", "P5 2 x\n"), {"b.pgm, page 1:", "no binary grey PGM"});
  ExpectCountError(folder.Write("c.pgm", "P5 2 1 70000\n\x01\x02"), {"maximum 70000", "65535"});
  ExpectCountError(folder.Write("d.pgm", "P5 1 1 255\n\x01P5 2 1 255\n\x01\x02"),
                   {"d.pgm, page 2: differs from page 1"});
  ExpectCountError(folder.Write("e.pgm", "P5 0 1 255\n\x01"), {"0 x 1 px is not believable"});
}

// PNG Specification 1.2, 2.1: the most significant byte first. The file is
// written by the picture library, its pixels 0x1234 and 0xABCD.
TEST(PngFrames, ReadSixteenAndEightBits) {
  const TempFolder folder;
  const cv::Mat wide = (cv::Mat_<std::uint16_t>(1, 2) << 0x1234, 0xABCD);
  const cv::Mat narrow = (cv::Mat_<std::uint8_t>(1, 2) << 7, 255);
  cv::imwrite((folder / "w.png").string(), wide);
  cv::imwrite((folder / "n.png").string(), narrow);
  EXPECT_EQ(LargestDifference(ReadPage(*OpenCounts(folder / "w.png", {}), 0), wide), 0);
  EXPECT_EQ(LargestDifference(ReadPage(*OpenCounts(folder / "n.png", {}), 0), narrow), 0);
}

// A grey 16-bit PNG of one pixel 12 34, stored uncompressed, put together by hand
// from the PNG Specification 1.2: each chunk is length, name, data and check sum.
TEST(PngFrames, ReadAFileWrittenByHand) {
  const TempFolder folder;
  const std::string signature = "\x89PNG\r\n\x1A\n";
  const std::string header =
      "\000\000\000\015"
      "IHDR"
      "\000\000\000\001\000\000\000\001\020\000\000\000\000"
      "\152\356\107\026"s;
  const std::string data =
      "\000\000\000\016"
      "IDAT"
      "\170\001\001\003\000\374\377\000\022\064\000\133\000\107"
      "\115\250\303\205"s;
  const std::string end =
      "\000\000\000\000"
      "IEND"
      "\256\102\140\202"s;
  folder.Write("hand.png", signature + header + data + end);
  EXPECT_EQ(ReadPage(*OpenCounts(folder / "hand.png", {}), 0).at<std::uint16_t>(0), 0x1234);
}

TEST(PictureFrames, ReadColours) {
  const TempFolder folder;
  const cv::Mat colours(30, 40, CV_8UC3, cv::Scalar(10, 120, 230));
  for (const char* name : {"c.png", "c.jpg"}) {
    cv::imwrite((folder / name).string(), colours);
    const auto pages = OpenCounts(folder / name, {});
    ASSERT_EQ(pages->type(), CV_8UC3) << name;
    EXPECT_EQ(pages->size_px(), colours.size());
    const cv::Mat read = ReadPage(*pages, 0);
    for (int c = 0; c < 3; ++c) {
      EXPECT_NEAR(read.at<cv::Vec3b>(7, 9)[c], colours.at<cv::Vec3b>(7, 9)[c], 3) << name;
    }
  }
}

TEST(PngFrames, SayWhatIsWrong) {
  const TempFolder folder;
  std::vector<unsigned char> bytes;
  cv::imencode(".png", RampPage(0, {30, 30}, CV_16U), bytes);
  const std::string whole(bytes.begin(), bytes.end());
  ExpectCountError(folder.Write("t.png", whole.substr(0, whole.size() / 2)),
                   {"t.png", "cut short"});
  ExpectCountError(folder.Write("s.png", whole.substr(0, 12)), {"s.png", "cut short"});
}

TEST(NpyFrames, ReadThreeAndTwoDimensions) {
  const TempFolder folder;
  const auto series =
      OpenCounts(folder.Write("a.npy",
                              Npy("{'descr': '<u2', 'fortran_order': False, 'shape': (2, 1, 2), }",
                                  "\x01\x00\x02\x00\x34\x12\xFF\xFF"s)),
                 {});
  ASSERT_EQ(series->count(), 2);
  const cv::Mat expected = (cv::Mat_<std::uint16_t>(1, 2) << 0x1234, 65535);
  EXPECT_EQ(LargestDifference(ReadPage(*series, 1), expected), 0);
  const auto single = OpenCounts(
      folder.Write(
          "b.npy",
          Npy("{'descr': '<f4', 'fortran_order': False, 'shape': (1, 1), }", "\x00\x00\x96\x43"s)),
      {});
  EXPECT_EQ(ReadPage(*single, 0).at<float>(0), 300.0F);
}

TEST(NpyFrames, SayWhatIsWrong) {
  const TempFolder folder;
  const auto expect = [&](const std::string& dictionary, const std::vector<std::string>& parts) {
    ExpectCountError(folder.Write("x.npy", Npy(dictionary, "\x01\x00\x02\x00"s)), parts);
  };
  expect("{'descr': '<c8', 'fortran_order': False, 'shape': (1, 2), }", {"x.npy:", "'<c8'", "<u2"});
  expect("{'descr': '|b1', 'fortran_order': False, 'shape': (1, 2), }", {"'|b1'", "floats"});
  expect("{'descr': '<u2', 'fortran_order': False, 'shape': (2,), }", {"has 1 dimensions"});
  expect("{'descr': '<u2', 'fortran_order': False, 'shape': (0, 2), }", {"empty or damaged shape"});
  expect("{'descr': '<u2', 'fortran_order': False, 'shape': (5, 1, 2), }",
         {"x.npy, page 2:", "cut short", "bytes"});
  ExpectCountError(folder.Write("y.npy", "\x93NUMPY\x01\x00\xFF\x01{'desc"s), {"header is cut"});
}

// The layout of V4L2_PIX_FMT_Y16 (Linux kernel documentation): the least
// significant byte first, so 34 12 is 0x1234.
TEST(RawFrames, ReadTheLeastSignificantByteFirst) {
  const TempFolder folder;
  const auto file = folder.Write("f.raw", "\x34\x12\x01\x00\x02\x00\xCD\xAB"s);
  const auto pages = OpenCounts(file, {2, 1});
  ASSERT_EQ(pages->count(), 2);
  const cv::Mat first = (cv::Mat_<std::uint16_t>(1, 2) << 0x1234, 1);
  EXPECT_EQ(LargestDifference(ReadPage(*pages, 0), first), 0);
  ExpectCountError(file, {"f.raw: has 8 bytes", "3 x 1 px", "frames.width_px"}, {3, 1});
  ExpectCountError(file, {"f.raw: is no TIFF, PNG, JPEG, PGM, PFM, NPY", "frames.width_px"});
}

TEST(NaturalLess, PutsNumbersInTheirOrder) {
  const std::vector<std::string> sorted = {
      "f1.png", "F2.png", "f02.tiff", "f10.png", "f10a.png", "f100.png", "g1.png"};
  for (std::size_t i = 0; i < sorted.size(); ++i) {
    for (std::size_t j = 0; j < sorted.size(); ++j) {
      EXPECT_EQ(NaturalLess(sorted[i], sorted[j]), i < j) << sorted[i] << " " << sorted[j];
    }
  }
}

TEST(MatchesPattern, KnowsStarsAndQuestionMarks) {
  EXPECT_TRUE(MatchesPattern("f12.tiff", "*.tiff"));
  EXPECT_TRUE(MatchesPattern("f12.tiff", "f?2*"));
  EXPECT_TRUE(MatchesPattern("aab", "*ab"));
  EXPECT_FALSE(MatchesPattern("f12.tiff", "*.png"));
  EXPECT_FALSE(MatchesPattern("f.tiff", "f?.tiff"));
}

TEST(FrameSeries, ReadsAFolderAndAPatternInNaturalOrder) {
  const TempFolder folder;
  for (const int i : {10, 2, 1}) {
    folder.Write("raw/f" + std::to_string(i) + ".pgm", "P5 1 1 255\n"s + static_cast<char>(i));
  }
  folder.Write("raw/notes.txt", "not a frame");
  folder.Write("raw/.hidden.pgm", "P5");
  for (const char* source : {"raw", "raw/f*.pgm"}) {
    const auto pages = OpenCounts(folder / source, {});
    ASSERT_EQ(pages->count(), 3) << source;
    EXPECT_EQ(ReadPage(*pages, 0).at<std::uint8_t>(0), 1);
    EXPECT_EQ(ReadPage(*pages, 1).at<std::uint8_t>(0), 2);
    EXPECT_EQ(ReadPage(*pages, 2).at<std::uint8_t>(0), 10);
  }
}

TEST(FrameSeries, SaysWhatIsWrong) {
  const TempFolder folder;
  folder.Write("none/notes.txt", "x");
  ExpectCountError(folder / "none", {"notes.txt: holds no rows of numbers"});
  folder.Write("bare/.hidden", "x");
  ExpectCountError(folder / "bare", {"bare: holds no TIFF", "frames.source"});
  ExpectCountError(folder / "none/*.tiff", {"*.tiff: no file fits this pattern"});
  ExpectCountError(folder / "lost/*.tiff", {"lost: no such folder"});
  ExpectCountError(folder / "no*/f.tiff", {"only the file's name may hold * or ?"});
  folder.Write("two/a.pgm", "P5 1 1 255\n\x01");
  folder.Write("two/b.npy", "x");
  ExpectCountError(folder / "two", {"two: holds a.pgm and b.npy", "pattern such as *.pgm"});
  folder.Write("size/a.pgm", "P5 1 1 255\n\x01");
  folder.Write("size/b.pgm", "P5 2 1 255\n\x01\x02");
  ExpectCountError(folder / "size", {"b.pgm: is 2 x 1 px", "1 x 1 px"});
  const cv::Mat page = RampPage(0, {4, 4}, CV_16U);
  std::filesystem::create_directories(folder / "multi");
  WriteTiff(folder / "multi/a.tiff", {page, page});
  ExpectCountError(folder / "multi", {"a.tiff: holds 2 pages", "frames.source", "split"});
}

TEST(ReadPhoto, GivesEightBitColourAndNamesABadFile) {
  const TempFolder folder;
  cv::imwrite((folder / "p.png").string(), cv::Mat(2, 3, CV_16U, cv::Scalar(65535)));
  const cv::Mat photo = ReadPhoto(folder / "p.png");
  EXPECT_EQ(photo.type(), CV_8UC3);
  EXPECT_EQ(photo.at<cv::Vec3b>(1, 2), cv::Vec3b(255, 255, 255));
  const auto text = folder.Write("text.png", "no picture");
  ExpectError<InputError>([&] { (void)ReadPhoto(text); }, {"text.png: is no picture"});
  ExpectError<InputError>([&] { (void)ReadPhoto(folder / "x.jpg"); }, {"x.jpg: no such file"});
}

}  // namespace
}  // namespace ohmglow
