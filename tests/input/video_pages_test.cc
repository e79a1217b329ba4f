// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
//
// Videos are written by ffmpeg, an independent program, from pixels that the test knows.
#include "input/video_pages.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <iostream>
#include <sstream>

#include "ohmglow/base/error.h"
#include "ohmglow/input/video_module.h"
#include "support/temp_folder.h"

namespace ohmglow {
namespace {

namespace fs = std::filesystem;
using testing::TempFolder;

constexpr int kWidth = 64;
constexpr int kHeight = 48;
constexpr int kFrames = 20;

bool HasFfmpeg() { return std::system("ffmpeg -version > /dev/null 2>&1") == 0; }

std::uint16_t PixelOf(int frame, int x, int y) {
  return static_cast<std::uint16_t>(29000 + 37 * frame + 11 * x + 101 * y);
}

std::string Raw16() {
  std::string bytes;
  for (int n = 0; n < kFrames; ++n) {
    for (int y = 0; y < kHeight; ++y) {
      for (int x = 0; x < kWidth; ++x) {
        const std::uint16_t value = PixelOf(n, x, y);
        bytes += static_cast<char>(value & 0xFFU);
        bytes += static_cast<char>(value >> 8U);
      }
    }
  }
  return bytes;
}

// A slow slope that grows brighter, grey of 8 bits.
std::string Raw8() {
  std::string bytes;
  for (int n = 0; n < kFrames; ++n) {
    for (int y = 0; y < kHeight; ++y) {
      for (int x = 0; x < kWidth; ++x) bytes += static_cast<char>(20 + 2 * x + y + 2 * n);
    }
  }
  return bytes;
}

class VideoPagesTest : public ::testing::Test {
 protected:
  void SetUp() override {
    SetVideoModuleFolder(VIDEO_MODULE_FOLDER);
    if (!HasFfmpeg()) GTEST_SKIP() << "ffmpeg is not installed: video was NOT checked";
  }

  fs::path Write(const std::string& raw,
                 const char* format,
                 const std::string& options,
                 const std::string& name) {
    std::ofstream(folder_.path() / "raw", std::ios::binary) << raw;
    const fs::path file = folder_.path() / name;
    std::ostringstream command;
    command << "ffmpeg -v error -y -f rawvideo -pix_fmt " << format << " -s " << kWidth << "x"
            << kHeight << " -r 7.5 -i " << folder_.path() / "raw"
            << " " << options << " " << file;
    EXPECT_EQ(std::system(command.str().c_str()), 0) << command.str();
    return file;
  }

  ByteSource Open(const std::string& raw,
                  const char* format,
                  const std::string& options,
                  const std::string& name) {
    return ByteSource(Write(raw, format, options, name));
  }

  TempFolder folder_;
};

TEST_F(VideoPagesTest, KeepsSixteenBitsOfGrey) {
  VideoPages pages(Open(Raw16(), "gray16le", "-c:v ffv1", "film.mkv"));
  ASSERT_EQ(pages.count(), kFrames);
  EXPECT_EQ(pages.size_px(), cv::Size(kWidth, kHeight));
  ASSERT_EQ(pages.type(), CV_16U);
  cv::Mat counts;
  // Forth and back again.
  for (const int n : {0, 1, 2, 19, 7, 8, 0}) {
    pages.Read(n, counts);
    for (int y = 0; y < kHeight; ++y) {
      for (int x = 0; x < kWidth; ++x) {
        ASSERT_EQ(counts.at<std::uint16_t>(y, x), PixelOf(n, x, y)) << n << " " << x << " " << y;
      }
    }
  }
}

TEST_F(VideoPagesTest, TellsTheTimeOfEachFrame) {
  // Every third frame is left out, the others keep their times.
  VideoPages pages(
      Open(Raw16(), "gray16le", "-c:v ffv1 -vf \"select='mod(n,3)'\" -vsync vfr", "film.mkv"));
  const std::vector<double> times_s = pages.times_s();
  ASSERT_EQ(times_s.size(), 13U);
  // Frames 1, 2, 4, 5, 7 ... of 7.5 a second; Matroska keeps milliseconds.
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    const auto number = static_cast<double>(i / 2 * 3 + i % 2);
    EXPECT_NEAR(times_s[i], number / 7.5, 0.0011) << i;
  }
}

TEST_F(VideoPagesTest, ReadsCompressedGreyAsPictures) {
  for (const auto& [options, name] :
       {std::pair{"-c:v libx264 -pix_fmt yuv420p -g 10 -bf 2", "film.mp4"},
        std::pair{"-c:v mjpeg -q:v 2 -pix_fmt yuvj420p", "film.avi"}}) {
    VideoPages pages(Open(Raw8(), "gray", options, name));
    ASSERT_EQ(pages.count(), kFrames) << name;
    ASSERT_EQ(pages.type(), CV_8UC3) << name;
    cv::Mat bgr;
    for (const int n : {5, 6, 19, 3}) {
      pages.Read(n, bgr);
      for (int y = 4; y < kHeight; y += 9) {
        for (int x = 4; x < kWidth; x += 9) {
          for (int c = 0; c < 3; ++c) {
            EXPECT_NEAR(bgr.at<cv::Vec3b>(y, x)[c], 20 + 2 * x + y + 2 * n, 6)
                << name << " frame " << n << " at " << x << ", " << y;
          }
        }
      }
    }
  }
}

TEST_F(VideoPagesTest, UsesWhatIsThereOfAVideoThatWasCutOff) {
  const fs::path file = Write(Raw16(), "gray16le", "-c:v ffv1", "film.mkv");
  fs::resize_file(file, fs::file_size(file) * 19 / 20);
  VideoPages pages{ByteSource(file)};
  EXPECT_GE(pages.count(), kFrames - 3);
  EXPECT_LT(pages.count(), kFrames);
  cv::Mat counts;
  pages.Read(pages.count() - 1, counts);
  EXPECT_EQ(counts.at<std::uint16_t>(5, 5), PixelOf(pages.count() - 1, 5, 5));
}

// Two recordings joined, as some recorders do when their window is resized.
TEST_F(VideoPagesTest, RefusesFramesOfAnotherSizeThanTheFirst) {
  constexpr int kLast = 2;
  const std::string mjpeg = "-c:v mjpeg -q:v 2 -pix_fmt yuvj420p -f mjpeg ";
  Write(Raw8(), "gray", mjpeg, "first");
  for (const char* other : {"32:24", "128:96", "64:46"}) {
    SCOPED_TRACE(other);
    const std::string frames = "-frames:v " + std::to_string(kLast) + " ";
    Write(Raw8(), "gray", frames + "-vf scale=" + other + " " + mjpeg, "last");
    const fs::path file = folder_.path() / "film.avi";
    const std::string at = folder_.path().string();
    const std::string command = "cat " + at + "/first " + at + "/last > " + at +
                                "/both && ffmpeg -v error -y -f mjpeg -framerate 7.5 -i " + at +
                                "/both -c copy " + file.string();
    ASSERT_EQ(std::system(command.c_str()), 0) << command;

    VideoPages pages{ByteSource(file)};
    EXPECT_EQ(pages.size_px(), cv::Size(kWidth, kHeight));
    ASSERT_EQ(pages.count(), kFrames + kLast);
    cv::Mat bgr;
    for (int n = 0; n < pages.count(); ++n) {
      if (n >= kFrames) {
        EXPECT_THROW(pages.Read(n, bgr), InputError) << n;
        continue;
      }
      pages.Read(n, bgr);
      EXPECT_NEAR(bgr.at<cv::Vec3b>(20, 30)[0], 20 + 60 + 20 + 2 * n, 6) << n;
    }
    // Back again, from a frame of the other size.
    pages.Read(3, bgr);
    EXPECT_NEAR(bgr.at<cv::Vec3b>(20, 30)[0], 20 + 60 + 20 + 6, 6);
  }
}

// Rows are padded while they are converted, and are not in the page.
TEST_F(VideoPagesTest, KeepsRowsOfAnyWidthInTheirPlace) {
  for (const int width : {33, 51, 61, 63}) {
    SCOPED_TRACE(width);
    const std::string crop = "-vf crop=" + std::to_string(width) + ":47:0:0:exact=1 ";
    VideoPages pages(
        Open(Raw8(), "gray", crop + "-c:v mjpeg -q:v 2 -pix_fmt yuvj444p", "film.avi"));
    ASSERT_EQ(pages.size_px(), cv::Size(width, 47));
    cv::Mat bgr;
    pages.Read(4, bgr);
    ASSERT_EQ(bgr.size(), cv::Size(width, 47));
    for (int y = 0; y < 47; ++y) {
      for (const int x : {0, width - 1}) {
        ASSERT_NEAR(bgr.at<cv::Vec3b>(y, x)[1], 20 + 2 * x + y + 8, 8) << x << " " << y;
      }
    }
  }
}

TEST_F(VideoPagesTest, SaysWhatIsWrong) {
  const fs::path file = folder_.path() / "film.mkv";
  std::ofstream(file, std::ios::binary) << "\x1A\x45\xDF\xA3" << std::string(100, 'x');
  try {
    VideoPages pages{ByteSource(file)};
    FAIL() << "no error";
  } catch (const InputError& error) {
    EXPECT_TRUE(std::string(error.what()).starts_with(file.string() + ": ")) << error.what();
    EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos);
  }
}

TEST(IsVideo, GoesByTheFirstBytes) {
  EXPECT_TRUE(IsVideo(std::string("\x1A\x45\xDF\xA3\x01\x00", 6)));
  EXPECT_TRUE(
      IsVideo(std::string("\0\0\0\x20"
                          "ftypisom",
                          12)));
  EXPECT_TRUE(IsVideo("RIFFxxxxAVI "));
  EXPECT_FALSE(IsVideo("RIFFxxxxWAVE"));
  EXPECT_FALSE(IsVideo("II*"));
  EXPECT_FALSE(IsVideo(""));
}

}  // namespace
}  // namespace ohmglow
