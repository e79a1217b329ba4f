// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/film_writer.h"

#include <gtest/gtest.h>
#include <signal.h>
#include <sys/resource.h>

#include <fstream>
#include <random>

#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"
#include "support/temp_folder.h"

namespace ohmglow::record {
namespace {

constexpr int kWidth = 16;
constexpr int kHeight = 12;
constexpr std::size_t kFrameBytes = 2 * kWidth * kHeight;

cv::Mat Frame(int n) {
  cv::Mat counts(kHeight, kWidth, CV_16U);
  counts = cv::Scalar(29600 + n);
  return counts;
}

BoardText Board() { return {"title = b\n[frames]\nscale = 0.01\nzero = 0\n", {}}; }

void Film(FilmWriter& writer, int from, int to) {
  for (int n = from; n < to; ++n) {
    writer.AddFrame(0.125 * n, Frame(n));
    writer.AddReading(0.125 * n, 1, n % 8 < 4 ? 0 : 0.5);
  }
}

TEST(RequireNewFolder, RefusesWhatIsThereAndWhatHasNoParent) {
  const testing::TempFolder folder;
  EXPECT_NO_THROW(RequireNewFolder(folder / "new"));
  EXPECT_NO_THROW(RequireNewFolder(folder / "new/"));
  EXPECT_NO_THROW(RequireNewFolder(folder.path())) << "empty";
  EXPECT_THROW(RequireNewFolder(folder / "no/new"), OutputError);
  folder.Write("file", "x");
  EXPECT_THROW(RequireNewFolder(folder / "file"), OutputError);
  EXPECT_THROW(RequireNewFolder(folder.path()), OutputError);
}

// Counts of 25 degrees Celsius at 0.01 K and a zero of 273.15 K: every byte may be a tab or a
// digit, and yet it is no table.
TEST(FilmWriter, CountsThatLookLikeATableAreStillCounts) {
  const testing::TempFolder folder;
  BoardText board = {"title = b\n[frames]\nscale = 0.01\nzero = 273.15\n", {}};
  FilmWriter writer(folder / "case", board, FilmKind::kOneClock);
  for (int n = 0; n < 20; ++n) {
    cv::Mat counts(kHeight, kWidth, CV_16U);
    for (int i = 0; i < kWidth * kHeight; ++i) {
      counts.at<std::uint16_t>(i / kWidth, i % kWidth) =
          static_cast<std::uint16_t>(0x0920 + 16 + (i + n) % 10);
    }
    writer.AddFrame(0.125 * n, counts);
    writer.AddReading(0.125 * n, 1, n % 8 < 4 ? 0 : 0.5);
  }
  writer.Finish();
  EXPECT_EQ(LoadCase(writer.case_file()).frames->count(), 20);
}

TEST(FilmWriter, LosesNoReadingOfOneTime) {
  const testing::TempFolder folder;
  FilmWriter writer(folder / "case", Board(), FilmKind::kOneClock);
  Film(writer, 0, 20);
  writer.AddReading(2.5, 1, 0);
  writer.AddReading(2.5, 1, 0.25);
  writer.AddReading(2.50004, 1, 0.5);
  writer.Finish();
  const Case job = LoadCase(writer.case_file());
  ASSERT_EQ(job.supply->amps_a.size(), 23U);
  EXPECT_EQ(job.supply->amps_a[21], 0.25);
  EXPECT_EQ(job.supply->amps_a[22], 0.5);
}

TEST(FilmWriter, ReadsAsACaseWhileItGrows) {
  const testing::TempFolder folder;
  FilmWriter writer(folder / "case", Board(), FilmKind::kOneClock);
  for (int n = 0; n < 60; n += 12) {
    Film(writer, n, n + 12);
    writer.Flush();
    const Case job = LoadCase(writer.case_file());
    EXPECT_EQ(job.frames->count(), n + 12);
    EXPECT_NEAR(job.frame_times_s.back(), 0.125 * (n + 11), 1e-3);
    EXPECT_EQ(job.supply->time_s.size(), static_cast<std::size_t>(n + 12));
    EXPECT_EQ(job.clock_offset_s, 0);
  }
  writer.Finish();
  const Case job = LoadCase(writer.case_file());
  EXPECT_EQ(job.frames->count(), 60);
  Image kelvin;
  job.frames->Read(59, kelvin);
  EXPECT_NEAR(kelvin(5, 5), 296.59, 0.6);  // Emissivity is taken out.
}

// Pulled plug: each file ends anywhere, on its own.
TEST(FilmWriter, ReadsWhereverItsFilesEnd) {
  const testing::TempFolder folder;
  FilmWriter writer(folder / "case", Board(), FilmKind::kOneClock);
  Film(writer, 0, 40);
  writer.Flush();
  const auto raw = folder / "case/frames.raw";
  const auto times = folder / "case/frames.csv";
  std::mt19937 random(2);
  std::uintmax_t raw_size = std::filesystem::file_size(raw);
  std::uintmax_t times_size = std::filesystem::file_size(times);
  for (int cut = 0; cut < 60; ++cut) {
    raw_size -= std::uniform_int_distribution<std::uintmax_t>(0, kFrameBytes)(random);
    times_size -= std::uniform_int_distribution<std::uintmax_t>(0, 9)(random);
    std::filesystem::resize_file(raw, raw_size);
    std::filesystem::resize_file(times, times_size);
    if (raw_size < 2 * kFrameBytes || times_size < 40) break;
    std::ifstream rows(times);
    const std::string text((std::istreambuf_iterator<char>(rows)), {});
    const auto whole_rows = std::count(text.begin(), text.end(), '\n') - 1;
    const Case job = LoadCase(writer.case_file());
    EXPECT_EQ(job.frames->count(),
              std::min<long>(whole_rows, static_cast<long>(raw_size / kFrameBytes)));
    EXPECT_EQ(job.frame_times_s.size(), static_cast<std::size_t>(job.frames->count()));
  }
}

TEST(FilmWriter, ByHandWritesStepsInPlaceOfALog) {
  const testing::TempFolder folder;
  FilmWriter writer(folder / "case", Board(), FilmKind::kSteps);
  writer.AddFrame(0, Frame(0));
  writer.AddStep(0, 0, 1.5);
  for (int n = 1; n < 40; ++n) writer.AddFrame(0.125 * n, Frame(n));
  writer.AddStep(2, 0.5, 1.5);
  writer.AddStep(4, 0, 1.5);
  writer.Finish();
  const Case job = LoadCase(writer.case_file());
  EXPECT_FALSE(job.supply);
  ASSERT_EQ(job.levels.size(), 3U);
  EXPECT_EQ(job.levels[1].amps_a, 0.5);
  EXPECT_EQ(job.levels[1].start_s, 2);
  EXPECT_EQ(job.levels[1].within_s, 1.5);
}

TEST(FilmWriter, NeverWritesOverAFolder) {
  const testing::TempFolder folder;
  folder.Write("case/mine.txt", "x");
  EXPECT_THROW(FilmWriter(folder / "case", Board(), FilmKind::kOneClock), OutputError);
  EXPECT_THROW(FilmWriter(folder / "no/parent", Board(), FilmKind::kOneClock), OutputError);
}

TEST(FilmWriter, CopiesWhatTheBoardNames) {
  const testing::TempFolder folder;
  const auto parts =
      folder.Write("p.csv", "ref,x_mm,y_mm,width_mm,height_mm,side\nC1,1,2,3,4,top\n");
  BoardText board = Board();
  board.text += "[board]\nparts = p.csv\n";
  board.copies = {{parts, "p.csv"}};
  FilmWriter writer(folder / "case", board, FilmKind::kOneClock);
  Film(writer, 0, 12);
  writer.Finish();
  EXPECT_EQ(LoadCase(writer.case_file()).parts.size(), 1U);
}

// A disk that is full in the midst of a frame, and has room again after that.
TEST(FilmWriter, WritesNothingAfterATornFrame) {
  const testing::TempFolder folder;
  FilmWriter writer(folder / "case", Board(), FilmKind::kOneClock);
  rlimit before{};
  ASSERT_EQ(getrlimit(RLIMIT_FSIZE, &before), 0);
  auto* const handler = signal(SIGXFSZ, SIG_IGN);
  rlimit full = before;
  full.rlim_cur = 10 * kFrameBytes + 7;
  ASSERT_EQ(setrlimit(RLIMIT_FSIZE, &full), 0);
  Film(writer, 0, 20);
  writer.Flush();
  ASSERT_EQ(setrlimit(RLIMIT_FSIZE, &before), 0);
  signal(SIGXFSZ, handler);
  EXPECT_NE(writer.Problem().find("frames.raw"), std::string::npos);
  Film(writer, 20, 30);
  writer.Flush();
  EXPECT_EQ(std::filesystem::file_size(folder / "case/frames.raw"), 10 * kFrameBytes + 7);
  EXPECT_EQ(LoadCase(writer.case_file()).frames->count(), 10);
  EXPECT_THROW(writer.Finish(), OutputError);
}

}  // namespace
}  // namespace ohmglow::record
