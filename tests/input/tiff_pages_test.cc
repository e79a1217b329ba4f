// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/tiff_pages.h"

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>

#include "expect_error.h"
#include "ohmglow/base/error.h"
#include "support/temp_folder.h"
#include "tiff_writer.h"

namespace ohmglow {
namespace {

using testing::ExpectError;
using testing::LargestDifference;
using testing::RampPage;
using testing::TempFolder;
using testing::TiffStyle;
using testing::WriteTiff;

const cv::Size kSize(37, 23);  // No multiple of strip or tile.

std::string Bytes(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

cv::Mat ReadPage(TiffPages& pages, int page) {
  cv::Mat counts;
  pages.Read(page, counts);
  return counts.clone();
}

// Writes three pages, reads them in an odd order and expects the same pixels.
void ExpectRoundTrip(int type, const TiffStyle& style) {
  SCOPED_TRACE("type " + std::to_string(type) + ", compression " +
               std::to_string(style.compression) + ", predictor " +
               std::to_string(style.predictor) + ", tile " + std::to_string(style.tile_px));
  const TempFolder folder;
  const std::vector<cv::Mat> written = {
      RampPage(0, kSize, type), RampPage(1, kSize, type), RampPage(2, kSize, type)};
  WriteTiff(folder / "f.tiff", written, style);
  TiffPages pages(ByteSource{folder / "f.tiff"});
  ASSERT_EQ(pages.count(), 3);
  EXPECT_EQ(pages.size_px(), kSize);
  for (const int page : {2, 0, 1, 1, 2}) {
    EXPECT_EQ(LargestDifference(ReadPage(pages, page), written[static_cast<std::size_t>(page)]), 0);
  }
}

// Values of Compression and Predictor: TIFF 6.0 (1992) and its technical notes.
TEST(TiffPages, ReadsEveryCompressionPredictorAndSampleType) {
  for (const int type : {CV_8U, CV_16U, CV_16S, CV_32F}) {
    for (const int compression :
         {COMPRESSION_NONE, COMPRESSION_LZW, COMPRESSION_ADOBE_DEFLATE, COMPRESSION_PACKBITS}) {
      for (const int tile_px : {0, 16}) {
        ExpectRoundTrip(type, {.compression = compression, .tile_px = tile_px});
      }
    }
    for (const int compression : {COMPRESSION_LZW, COMPRESSION_ADOBE_DEFLATE}) {
      const int other = type == CV_32F ? PREDICTOR_FLOATINGPOINT : PREDICTOR_HORIZONTAL;
      ExpectRoundTrip(type, {.compression = compression, .predictor = other});
      ExpectRoundTrip(type, {.compression = compression, .predictor = other, .tile_px = 16});
    }
  }
}

// TIFF 6.0, section 2: II or MM, then 42; BigTIFF: 43.
TEST(TiffPages, ReadsBothByteOrdersAndBigTiff) {
  for (const char* mode : {"wl", "wb", "w8", "wl8", "wb8"}) {
    SCOPED_TRACE(mode);
    ExpectRoundTrip(CV_16U, {.mode = mode, .compression = COMPRESSION_ADOBE_DEFLATE});
  }
}

// TIFF 6.0, section 14: a row 1000, +2, +65535, +0 of horizontal differences,
// modulo 2^16, is 1000, 1002, 1001, 1001. Written here byte by byte.
TEST(TiffPages, UndoesTheHorizontalPredictorAsTheStandardSays) {
  const TempFolder folder;
  const cv::Mat row = (cv::Mat_<std::uint16_t>(1, 4) << 1000, 2, 65535, 0);
  WriteTiff(folder / "f.tiff", {row}, {.mode = "wl", .compression = COMPRESSION_LZW});
  // The differences are stored as they are; only then the tag says what they mean.
  TIFF* const tiff = TIFFOpen((folder / "f.tiff").c_str(), "r+");
  ASSERT_NE(tiff, nullptr);
  TIFFSetField(tiff, TIFFTAG_PREDICTOR, PREDICTOR_HORIZONTAL);
  TIFFRewriteDirectory(tiff);
  TIFFClose(tiff);
  TiffPages pages(ByteSource{folder / "f.tiff"});
  const cv::Mat expected = (cv::Mat_<std::uint16_t>(1, 4) << 1000, 1002, 1001, 1001);
  EXPECT_EQ(LargestDifference(ReadPage(pages, 0), expected), 0);
}

// TIFF 6.0, PhotometricInterpretation: 0 white is zero, 1 black is zero.
TEST(TiffPages, InvertsIntegersWhereWhiteIsZero) {
  const TempFolder folder;
  const cv::Mat page = (cv::Mat_<std::uint16_t>(1, 3) << 0, 1000, 65535);
  WriteTiff(folder / "f.tiff", {page}, {.photometric = PHOTOMETRIC_MINISWHITE});
  TiffPages pages(ByteSource{folder / "f.tiff"});
  const cv::Mat expected = (cv::Mat_<std::uint16_t>(1, 3) << 65535, 64535, 0);
  EXPECT_EQ(LargestDifference(ReadPage(pages, 0), expected), 0);
}

void ExpectTiffError(const std::filesystem::path& file, const std::vector<std::string>& parts) {
  ::testing::internal::CaptureStderr();
  ExpectError<InputError>(
      [&] {
        TiffPages pages(ByteSource{file});
        cv::Mat counts;
        for (int page = 0; page < pages.count(); ++page) pages.Read(page, counts);
      },
      parts);
  EXPECT_EQ(::testing::internal::GetCapturedStderr(), "");
}

TEST(TiffPages, NamesThePageThatIsColour) {
  const TempFolder folder;
  const cv::Mat grey = RampPage(0, kSize, CV_8U);
  WriteTiff(folder / "one.tiff",
            {cv::Mat(kSize, CV_8UC3, cv::Scalar(1, 2, 3))},
            {.photometric = PHOTOMETRIC_RGB});
  ExpectTiffError(folder / "one.tiff", {"one.tiff, page 1: has 3 samples per pixel", "colour"});
  WriteTiff(folder / "wide.tiff",
            {cv::Mat(kSize, CV_8U, cv::Scalar(1))},
            {.photometric = PHOTOMETRIC_CFA});
  ExpectTiffError(folder / "wide.tiff", {"page 1: is not a grey picture", "interpretation 32803"});
}

TEST(TiffPages, LeavesOutPagesOfAnotherSizeAndNamesThoseOfAnotherKind) {
  const TempFolder folder;
  const cv::Mat page = RampPage(0, kSize, CV_16U);
  WriteTiff(folder / "a.tiff", {page, page, RampPage(0, {20, 10}, CV_16U)});
  TiffPages pages(ByteSource{folder / "a.tiff"});
  EXPECT_EQ(pages.count(), 2);
  EXPECT_EQ(pages.Notes(),
            std::vector<std::string>{(folder / "a.tiff").string() +
                                     ", page 3: is 20 x 10 px where most pages are 37 x 23 px; "
                                     "it is left out"});
  WriteTiff(folder / "b.tiff", {page, RampPage(0, kSize, CV_32F)});
  ExpectTiffError(folder / "b.tiff", {"b.tiff, page 2:", "another kind of samples"});
}

TEST(TiffPages, ReducesDoublesToFloats) {
  const TempFolder folder;
  WriteTiff(folder / "d.tiff", {cv::Mat(kSize, CV_64F, cv::Scalar(300.125))});
  TiffPages pages(ByteSource{folder / "d.tiff"});
  EXPECT_EQ(LargestDifference(ReadPage(pages, 0), cv::Mat(kSize, CV_32F, cv::Scalar(300.125))), 0);
}

TEST(TiffPages, NamesThePageWhereAFileIsCutShort) {
  const TempFolder folder;
  const cv::Mat page = RampPage(0, kSize, CV_16U);
  WriteTiff(folder / "f.tiff", {page, page, page});
  const std::string bytes = Bytes(folder / "f.tiff");
  folder.Write("last.tiff", bytes.substr(0, bytes.size() - 20));
  ExpectTiffError(folder / "last.tiff", {"last.tiff, page 3:", "cut short"});
  folder.Write("head.tiff", bytes.substr(0, 6));
  ExpectTiffError(folder / "head.tiff", {"head.tiff, page 1:", "cut short"});
}

// The bytes of a number, the least significant first.
std::string Little(std::uint32_t value, int size) {
  std::string bytes;
  for (int i = 0; i < size; ++i) bytes += static_cast<char>((value >> (8 * i)) & 0xFFU);
  return bytes;
}

// A 2 x 2 picture of 16 bits put together by hand, the directory before the
// pixels. Tags: TIFF 6.0, Appendix A.
std::string DirectoryFirst(const std::string& pixels) {
  struct Entry {
    std::uint32_t tag;
    std::uint32_t value;
  };
  const std::vector<Entry> entries = {
      {256, 2}, {257, 2}, {258, 16}, {259, 1}, {262, 1}, {273, 122}, {277, 1}, {278, 2}, {279, 8}};
  std::string file = "II*" + Little(0, 1) + Little(8, 4) + Little(9, 2);
  for (const Entry& entry : entries) {
    file += Little(entry.tag, 2) + Little(4, 2) + Little(1, 4) + Little(entry.value, 4);
  }
  return file + Little(0, 4) + pixels;
}

TEST(TiffPages, ReadsAFileWrittenByHand) {
  const TempFolder folder;
  const std::string pixels = Little(1, 2) + Little(2, 2) + Little(0x1234, 2) + Little(65535, 2);
  TiffPages pages(ByteSource{folder.Write("f.tiff", DirectoryFirst(pixels))});
  const cv::Mat expected = (cv::Mat_<std::uint16_t>(2, 2) << 1, 2, 0x1234, 65535);
  EXPECT_EQ(LargestDifference(ReadPage(pages, 0), expected), 0);
}

TEST(TiffPages, NamesThePageWhosePixelsAreCutShort) {
  const TempFolder folder;
  ExpectTiffError(folder.Write("g.tiff", DirectoryFirst(Little(7, 3))),
                  {"g.tiff, page 1: the pixels of row 1 on are damaged or cut short"});
}

TEST(TiffPages, NamesThePageWhosePixelsAreDamaged) {
  const TempFolder folder;
  const cv::Mat page = RampPage(0, kSize, CV_16U);
  for (const int compression : {COMPRESSION_ADOBE_DEFLATE, COMPRESSION_LZW}) {
    WriteTiff(folder / "f.tiff", {page}, {.compression = compression, .rows_per_strip = 23});
    std::string bytes = Bytes(folder / "f.tiff");
    for (std::size_t i = 10; i < 60; ++i) bytes[i] = '\x55';
    folder.Write("bad.tiff", bytes);
    ExpectTiffError(folder / "bad.tiff", {"bad.tiff, page 1: the pixels of row 1 on are damaged"});
  }
}

TEST(TiffPages, RefusesPagesThatFollowEachOtherInACircle) {
  const TempFolder folder;
  const cv::Mat page = RampPage(0, kSize, CV_8U);
  WriteTiff(folder / "f.tiff", {page, page}, {.mode = "wl"});
  std::string bytes = Bytes(folder / "f.tiff");
  const std::deque<TiffDirectory> pages = IndexTiff(ByteSource(folder / "f.tiff")).pages;
  // The last four bytes of a directory hold the place of the next.
  const auto count = static_cast<unsigned char>(bytes[pages[1].offset]);
  for (std::size_t i = 0; i < 4; ++i) {
    bytes[pages[1].offset + 2 + 12U * count + i] =
        static_cast<char>((pages[0].offset >> (8 * i)) & 0xFFU);
  }
  ExpectTiffError(folder.Write("loop.tiff", bytes), {"loop.tiff, page 3:", "circle"});
}

TEST(TiffPages, RefusesAFileWithoutPagesOrWithASenselessSize) {
  const TempFolder folder;
  using std::string_literals::operator""s;
  ExpectTiffError(folder.Write("none.tiff", "II*\0\0\0\0\0"s), {"none.tiff: holds no page"});
  const std::string wide =
      "II*\0\x08\0\0\0\x02\0\0\x01\x04\0\x01\0\0\0\xFF\xFF\xFF\x7F"
      "\x01\x01\x04\0\x01\0\0\0\xFF\xFF\xFF\x7F\0\0\0\0"s;
  ExpectTiffError(folder.Write("wide.tiff", wide), {"wide.tiff, page 1:", "not believable"});
}

}  // namespace
}  // namespace ohmglow
