// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/frame_feed.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <ctime>
#include <random>

#include "ohmglow/base/error.h"
#include "support/temp_folder.h"

namespace ohmglow::record {
namespace {

TEST(ParseRawFormat, ReadsSizeAndType) {
  const FrameFormat format = ParseRawFormat("256x192:u16le");
  EXPECT_EQ(format.width_px, 256);
  EXPECT_EQ(format.height_px, 192);
  EXPECT_EQ(format.sample.type, SampleType::kU16);
  EXPECT_TRUE(ParseRawFormat("4x3:u16be").sample.big_endian);
  for (const char* text : {"", "256", "256x", "256x192:u12", "0x192:u16le", "256x192x1:u16le"}) {
    EXPECT_THROW((void)ParseRawFormat(text), OptionError) << text;
  }
}

TEST(ParseCrop, ReadsFourNumbers) {
  EXPECT_EQ(ParseCrop("0,96,128,96"), cv::Rect(0, 96, 128, 96));
  for (const char* text : {"", "1,2,3", "1,2,3,0", "-1,2,3,4", "1,2,3,4,5", "a,b,c,d"}) {
    EXPECT_THROW((void)ParseCrop(text), OptionError) << text;
  }
}

class Pipe {
 public:
  Pipe() { EXPECT_EQ(pipe(ends_), 0); }
  ~Pipe() {
    close(ends_[0]);
    Close();
  }
  void Write(const std::string& bytes) {
    EXPECT_EQ(write(ends_[1], bytes.data(), bytes.size()), static_cast<ssize_t>(bytes.size()));
  }
  void Close() {
    if (ends_[1] >= 0) close(ends_[1]);
    ends_[1] = -1;
  }
  [[nodiscard]] int out() const { return ends_[0]; }

 private:
  int ends_[2] = {-1, -1};
};

TEST(FrameFeed, PutsFramesTogetherFromAnyPieces) {
  Pipe pipe;
  const auto feed = FeedFromDescriptor(pipe.out(), ParseRawFormat("2x2:u16be"));
  EXPECT_TRUE(feed->Take().empty());
  pipe.Write(std::string("\x01\x02\x03", 3));
  EXPECT_TRUE(feed->Take().empty());
  pipe.Write(std::string("\x04\x05\x06\x07\x08\x09", 6));
  const auto frames = feed->Take();
  ASSERT_EQ(frames.size(), 1U);
  EXPECT_EQ(frames[0].counts.at<std::uint16_t>(0, 0), 0x0102);
  EXPECT_EQ(frames[0].counts.at<std::uint16_t>(1, 1), 0x0708);
  EXPECT_FALSE(feed->ended());
  pipe.Close();
  EXPECT_TRUE(feed->Take().empty());
  EXPECT_TRUE(feed->ended());
  EXPECT_EQ(feed->Incomplete(), "1 of the 8 bytes that --format asks for");
}

TEST(FrameFeed, FramesThatComeTogetherHaveRisingTimes) {
  Pipe pipe;
  const auto feed = FeedFromDescriptor(pipe.out(), ParseRawFormat("2x1:u8"));
  pipe.Write("abcdefgh");
  const auto frames = feed->Take();
  ASSERT_EQ(frames.size(), 4U);
  for (std::size_t k = 1; k < 4; ++k) EXPECT_GT(frames[k].time_s, frames[k - 1].time_s);
}

TEST(FrameFeed, CropsAndRefusesACropBeyond) {
  Pipe pipe;
  FrameFormat format = ParseRawFormat("4x2:u8");
  format.crop_px = {1, 1, 2, 1};
  const auto feed = FeedFromDescriptor(pipe.out(), format);
  pipe.Write("abcdefgh");
  const auto frames = feed->Take();
  ASSERT_EQ(frames.size(), 1U);
  EXPECT_EQ(frames[0].counts.size(), cv::Size(2, 1));
  EXPECT_EQ(frames[0].counts.at<std::uint8_t>(0, 0), 'f');
  format.crop_px = {3, 1, 2, 1};
  EXPECT_THROW((void)FeedFromDescriptor(pipe.out(), format), OptionError);
}

TEST(FrameFeed, TakesFilesOfAFolderOnceTheyAreWhole) {
  const testing::TempFolder folder;
  const std::string header = "P5 2 2 255\n";
  folder.Write("f1.pgm", header + "aaaa");
  const auto feed = FeedFromFolder(folder.path(), {});
  EXPECT_TRUE(feed->Take().empty()) << "what lay there before is not of now";
  folder.Write("f10.pgm", header + "dddd");
  folder.Write("f9.pgm", header + "cc");
  EXPECT_TRUE(feed->Take().empty());
  folder.Write("f9.pgm", header + "cccc");
  auto frames = feed->Take();
  ASSERT_EQ(frames.size(), 1U);
  EXPECT_EQ(frames[0].counts.at<std::uint8_t>(0, 0), 'd');
  frames = feed->Take();
  ASSERT_EQ(frames.size(), 1U);
  EXPECT_EQ(frames[0].counts.at<std::uint8_t>(0, 0), 'c');
  EXPECT_THROW((void)FeedFromFolder(folder / "f1.pgm", {}), InputError);
}

// However many files lie there: what is new is told by the system.
TEST(FrameFeed, AFullFolderCostsNothing) {
  const testing::TempFolder folder;
  const std::string frame = "P5 2 2 255\naaaa";
  for (int n = 0; n < 3000; ++n) folder.Write("old" + std::to_string(n) + ".pgm", frame);
  const auto feed = FeedFromFolder(folder.path(), {});
  const auto processor_s = [] { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; };
  std::size_t came = 0;
  folder.Write("new0.pgm", frame);
  came += feed->Take().size() + feed->Take().size();
  const double before_s = processor_s();
  for (int n = 1; n < 200; ++n) {
    folder.Write("new" + std::to_string(n) + ".pgm", frame);
    (void)feed->Take();
    came += feed->Take().size();
  }
  EXPECT_EQ(came, 200U);
  // To list 3000 names 400 times takes several seconds.
  EXPECT_LT(processor_s() - before_s, 0.5);
}

TEST(JudgeRate, CountsWhatIsMissingAndWhatIsLate) {
  std::vector<double> times_s;
  for (int n = 0; n < 100; ++n) {
    if (n != 40 && n != 41 && n != 60) times_s.push_back(0.1 * n + (n == 20 ? 0.09 : 0));
  }
  const FilmRate rate = JudgeRate(times_s);
  EXPECT_EQ(rate.frames, 97);
  EXPECT_NEAR(rate.rate_hz, 10, 1e-6);
  EXPECT_EQ(rate.dropped, 3);
  EXPECT_NEAR(rate.latest_s, 0.2, 1e-6);
}

TEST(FrameFeed, AFileWhoseWriterPausesIsTriedAgain) {
  const testing::TempFolder folder;
  const auto feed = FeedFromFolder(folder.path(), {});
  const std::string header = "P5 2 2 255\n";
  folder.Write("f1.pgm", header + "aa");
  for (int n = 0; n < 4; ++n) EXPECT_TRUE(feed->Take().empty());
  folder.Write("f1.pgm", header + "aaaa");
  EXPECT_TRUE(feed->Take().empty());
  EXPECT_EQ(feed->Take().size(), 1U);
  folder.Write("f2.pgm", header + "aa");
  const auto take_long = [&] {
    for (int n = 0; n < 100; ++n, usleep(10'000)) (void)feed->Take();
  };
  EXPECT_THROW(take_long(), InputError);
}

}  // namespace
}  // namespace ohmglow::record
