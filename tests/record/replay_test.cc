// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/replay.h"

#include <gtest/gtest.h>

#include "ohmglow/input/case.h"
#include "support/temp_folder.h"

namespace ohmglow::record {
namespace {

constexpr std::size_t kRowBytes = 12;

// A film that was killed: its times end before its frames do.
TEST(Replay, ShowsAFilmThatWasNotEnded) {
  const testing::TempFolder folder;
  {
    FilmWriter writer(
        folder / "old", {"title = b\n[frames]\nscale = 0.01\nzero = 0\n", {}}, FilmKind::kOneClock);
    for (int n = 0; n < 40; ++n) {
      writer.AddFrame(0.125 * n, cv::Mat(12, 16, CV_16U, cv::Scalar(29600 + n)));
      writer.AddReading(0.125 * n, 1, n % 8 < 4 ? 0 : 0.5);
    }
    writer.Flush();
  }
  const auto times = folder / "old/frames.csv";
  std::filesystem::resize_file(times, std::filesystem::file_size(times) - 10 * kRowBytes);
  const int left = LoadCase(folder / "old/case.ini").frames->count();
  EXPECT_LT(left, 40);
  EXPECT_GT(left, 20);
  ReplayOptions options;
  options.speed = 1000;
  Replay(options, folder / "old/case.ini", folder / "new", [](const std::string &) {});
  const Case shown = LoadCase(folder / "new/case.ini");
  EXPECT_EQ(shown.frames->count(), left);
  EXPECT_EQ(shown.frame_times_s.size(), static_cast<std::size_t>(left));
}

}  // namespace
}  // namespace ohmglow::record
