// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "expect_error.h"
#include "input/jpeg_codec.h"
#include "input/photo.h"
#include "input/picture_file.h"
#include "input/png_codec.h"
#include "ohmglow/base/error.h"
#include "support/temp_folder.h"
#include "tiff_writer.h"

// OpenCV's imgcodecs is the second opinion here: the program does without it.
namespace ohmglow {
namespace {

using testing::ExpectError;
using testing::LargestDifference;
using testing::RampPage;
using testing::TempFolder;

std::string Encoded(const std::string& extension, const cv::Mat& image) {
  std::vector<unsigned char> bytes;
  cv::imencode(extension, image, bytes);
  return {bytes.begin(), bytes.end()};
}

cv::Mat Decoded(const std::string& bytes) {
  return cv::imdecode(std::vector<unsigned char>(bytes.begin(), bytes.end()), cv::IMREAD_UNCHANGED);
}

// A picture without two equal pixels in a row.
cv::Mat Colours(int channels) {
  cv::Mat image(17, 23, CV_8UC(channels));
  cv::RNG random(20261128);
  random.fill(image, cv::RNG::UNIFORM, 0, 256);
  return image;
}

// Smooth, so that JPEG keeps it; no two of its corners are alike.
cv::Mat Gradient() {
  cv::Mat image(16, 32, CV_8UC3);
  for (int y = 0; y < 16; ++y) {
    for (int x = 0; x < 32; ++x) {
      image.at<cv::Vec3b>(y, x) = cv::Vec3b(
          90, static_cast<unsigned char>(40 + 6 * x), static_cast<unsigned char>(30 + 9 * y));
    }
  }
  return image;
}

TEST(Png, AgreesWithAnotherReaderAndWriter) {
  for (const cv::Mat& image : {Colours(1), Colours(3), Colours(4), RampPage(0, {37, 23}, CV_16U)}) {
    EXPECT_EQ(LargestDifference(Decoded(EncodePng(image)), image), 0) << image.type();
    EXPECT_EQ(LargestDifference(DecodePng(Encoded(".png", image), "x"), image), 0);
    EXPECT_EQ(LargestDifference(DecodePng(EncodePng(image, 9), "x"), image), 0);
  }
}

TEST(Png, RefusesWhatCannotBeWritten) {
  EXPECT_THROW((void)EncodePng(cv::Mat(2, 2, CV_32F)), std::logic_error);
  EXPECT_THROW((void)EncodePng(cv::Mat(0, 0, CV_8U)), std::logic_error);
}

TEST(Png, NamesADamagedPicture) {
  const std::string whole = EncodePng(RampPage(0, {60, 40}, CV_16U));
  for (const std::size_t length : {std::size_t{12}, std::size_t{40}, whole.size() - 13}) {
    ExpectError<InputError>([&] { (void)DecodePng(whole.substr(0, length), "p.png"); },
                            {"p.png: the picture is cut short or damaged"});
  }
  std::string spoilt = whole;
  spoilt[whole.size() / 2] = static_cast<char>(spoilt[whole.size() / 2] ^ 0x55);
  ExpectError<InputError>([&] { (void)DecodePng(spoilt, "p.png"); }, {"p.png: the picture is"});
}

// Both decode by the same library, yet one of them upsamples colour its own way.
TEST(Jpeg, AgreesWithAnotherReaderAndWriter) {
  const cv::Mat image = Gradient();
  EXPECT_LE(
      LargestDifference(DecodeJpeg(Encoded(".jpg", image), "x"), Decoded(Encoded(".jpg", image))),
      2);
  EXPECT_LE(LargestDifference(Decoded(EncodeJpeg(image, 95)), image), 12);
  cv::Mat grey;
  cv::cvtColor(image, grey, cv::COLOR_BGR2GRAY);
  EXPECT_EQ(DecodeJpeg(EncodeJpeg(grey, 95), "x").type(), CV_8UC1);
  EXPECT_LT(EncodeJpeg(image, 20).size(), EncodeJpeg(image, 95).size());
}

TEST(Jpeg, NamesADamagedPicture) {
  const std::string whole = EncodeJpeg(Colours(3), 90);
  for (const std::size_t length : {std::size_t{2}, std::size_t{30}, whole.size() / 2}) {
    ExpectError<InputError>([&] { (void)DecodeJpeg(whole.substr(0, length), "p.jpg"); },
                            {"p.jpg: the picture is cut short or damaged"});
  }
}

// A JPEG with an Exif block of one tag: Exif 2.3 (CIPA DC-008), 4.5.2 and 4.6.4.
std::string WithOrientation(const std::string& jpeg, int orientation, bool big_endian) {
  std::string block =
      big_endian ? std::string("MM\0*\0\0\0\x08\0\1\1\x12\0\3\0\0\0\1\0\0\0\0\0\0\0\0", 26)
                 : std::string("II*\0\x08\0\0\0\1\0\x12\1\3\0\1\0\0\0\0\0\0\0\0\0\0\0", 26);
  block[big_endian ? 19 : 18] = static_cast<char>(orientation);
  const std::string data = std::string("Exif\0\0", 6) + block;
  const std::string length = {'\0', static_cast<char>(data.size() + 2)};
  return jpeg.substr(0, 2) + "\xFF\xE1" + length + data + jpeg.substr(2);
}

// The other reader turns pictures by Exif as well.
TEST(Jpeg, StandsUprightWhateverItsOrientation) {
  const std::string jpeg = EncodeJpeg(Gradient(), 95);
  for (int orientation = 1; orientation <= 8; ++orientation) {
    for (const bool big_endian : {false, true}) {
      SCOPED_TRACE(orientation);
      const std::string turned = WithOrientation(jpeg, orientation, big_endian);
      const cv::Mat other =
          cv::imdecode(std::vector<unsigned char>(turned.begin(), turned.end()), cv::IMREAD_COLOR);
      EXPECT_LE(LargestDifference(DecodeJpeg(turned, "x"), other), 2);
    }
  }
}

TEST(ExifOrientation, TakesOddBlocksForUpright) {
  EXPECT_EQ(ExifOrientation(""), 1);
  EXPECT_EQ(ExifOrientation("II*"), 1);
  EXPECT_EQ(ExifOrientation(std::string("II*\0\xFF\xFF\xFF\xFF", 8)), 1);
  EXPECT_EQ(ExifOrientation(std::string("II*\0\x08\0\0\0\1\0\x12\1\3\0\1\0\0\0\x09\0\0\0", 22)), 1);
}

TEST(ReadPhoto, GivesColourOfEightBitsOfEveryKind) {
  const TempFolder folder;
  const cv::Mat image = Gradient();
  folder.Write("p.png", EncodePng(image));
  EXPECT_EQ(LargestDifference(ReadPhoto(folder / "p.png"), image), 0);
  cv::imwrite((folder / "p.tif").string(), image);
  EXPECT_EQ(LargestDifference(ReadPhoto(folder / "p.tif"), image), 0);
  folder.Write("p.jpg", EncodeJpeg(image, 95));
  EXPECT_LE(LargestDifference(ReadPhoto(folder / "p.jpg"), image), 12);
  folder.Write("g.png", EncodePng(RampPage(0, {5, 4}, CV_16U)));
  EXPECT_EQ(ReadPhoto(folder / "g.png").type(), CV_8UC3);
}

// 16384 x 16384 pixels said by a header of a few bytes.
TEST(ReadPhoto, TakesNoMemoryForAPictureThatCannotBeThere) {
  std::string png = EncodePng(cv::Mat(16384, 16384, CV_8UC3, cv::Scalar(0)), 9);
  const TempFolder folder;
  const auto file = folder.Write("p.png", png.substr(0, 4096));
  ExpectError<InputError>([&] { (void)ReadPhoto(file); },
                          {"p.png: a picture of 768 MB does not fit into this file of 4 kB"});
}

}  // namespace
}  // namespace ohmglow
