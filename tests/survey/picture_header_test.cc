// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "survey/picture_header.h"

#include <gtest/gtest.h>

#include <string>

#include "input/video_pages.h"

namespace ohmglow {
namespace {

using std::string_literals::operator""s;

TEST(ReadPictureHeader, KnowsPngByItsHeaderChunk) {
  // Width 300, height 200, 16 bits, colour type 0 (grey) or 2 (colour): W3C 2003, 11.2.2.
  const std::string head = "\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\x01\x2c\0\0\0\xc8\x10"s;
  const auto grey = ReadPictureHeader(head + "\0\0\0\0"s);
  ASSERT_TRUE(grey.has_value());
  EXPECT_EQ(grey->size_px, cv::Size(300, 200));
  EXPECT_FALSE(grey->colour);
  EXPECT_TRUE(ReadPictureHeader(head + "\2\0\0\0"s)->colour);
}

TEST(ReadPictureHeader, FindsTheFrameOfAJpegBehindOtherSegments) {
  // An application segment of 6 bytes, then SOF0: 8 bits, 240 lines of 320, 3 parts (T.81, B.2.2).
  const std::string jpeg =
      "\xff\xd8\xff\xe1\0\x06"
      "abcd\xff\xc0\0\x11\x08\0\xf0\x01\x40\x03\0\0\0"s;
  const auto header = ReadPictureHeader(jpeg);
  ASSERT_TRUE(header.has_value());
  EXPECT_EQ(header->size_px, cv::Size(320, 240));
  EXPECT_TRUE(header->colour);
}

TEST(ReadPictureHeader, KnowsPnmWithComments) {
  EXPECT_EQ(ReadPictureHeader("P5\n# made by hand\n12 8\n255\n")->size_px, cv::Size(12, 8));
  EXPECT_TRUE(ReadPictureHeader("P6 4 3 255\n")->colour);
  EXPECT_FALSE(ReadPictureHeader("P2 4 3 255\n")->colour);
}

TEST(ReadPictureHeader, KnowsNothingElse) {
  for (const std::string& bytes : {""s, "P"s, "hello"s, "\x89PNG"s, "\xff\xd8\xff"s, "BM"s}) {
    EXPECT_FALSE(ReadPictureHeader(bytes).has_value());
  }
}

TEST(ReadPictureHeader, TakesNoSizeThatNoPictureHas) {
  // 70000 x 70000 and 300 x 0 (W3C 2003, 11.2.2).
  const std::string png = "\x89PNG\r\n\x1a\n\0\0\0\rIHDR"s;
  EXPECT_FALSE(ReadPictureHeader(png + "\0\x01\x11\x70\0\x01\x11\x70\x08\2\0\0\0"s).has_value());
  EXPECT_FALSE(ReadPictureHeader(png + "\0\0\x01\x2c\0\0\0\0\x08\2\0\0\0"s).has_value());
  // 4 wide, 2 rows from the top down, then the one negative number without a counterpart.
  const std::string bmp = "BM"s + std::string(12, '\0') + "\x28\0\0\0\x04\0\0\0"s;
  const std::string rest = "\1\0\x18\0\0\0\0\0"s;
  const auto down = ReadPictureHeader(bmp + "\xfe\xff\xff\xff"s + rest);
  ASSERT_TRUE(down.has_value());
  EXPECT_EQ(down->size_px, cv::Size(4, 2));
  EXPECT_FALSE(ReadPictureHeader(bmp + "\0\0\0\x80"s + rest).has_value());
  EXPECT_FALSE(ReadPictureHeader("P5 -3 8 255\n").has_value());
}

TEST(StartsAsPicture, KnowsPicturesWhoseHeaderSaysNonsense) {
  const std::string png =
      "\x89PNG\r\n\x1a\n\0\0\0\rIHDR\xff\xff\xff\xff\xff\xff\xff\xff\x08\2\0\0\0"s;
  EXPECT_FALSE(ReadPictureHeader(png).has_value());
  EXPECT_TRUE(StartsAsPicture(png));
  EXPECT_TRUE(StartsAsPicture("\xff\xd8\xff\xe0"s));
  EXPECT_FALSE(StartsAsPicture("P5 3 8 255\n"s));
}

TEST(IsVideo, KnowsThreeKinds) {
  EXPECT_TRUE(IsVideo("\x1a\x45\xdf\xa3\x01"s));
  EXPECT_TRUE(
      IsVideo("\0\0\0\x18"
              "ftypmp42"s));
  EXPECT_TRUE(IsVideo("RIFF\0\0\0\0AVI LIST"s));
  EXPECT_FALSE(IsVideo("RIFF\0\0\0\0WAVEfmt "s));
}

}  // namespace
}  // namespace ohmglow
