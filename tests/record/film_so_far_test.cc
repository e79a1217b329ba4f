// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/film_so_far.h"

#include <gtest/gtest.h>

#include "ohmglow/base/error.h"
#include "record/film_writer.h"
#include "support/temp_folder.h"

namespace ohmglow::record {
namespace {

constexpr double kRate = 25;

// Every pixel of frame n shows n counts of 0.01 K above 300 K.
void Film(FilmWriter& writer, int from, int to) {
  for (int n = from; n < to; ++n) {
    cv::Mat counts(12, 16, CV_16U);
    counts = cv::Scalar(30000 + n);
    writer.AddFrame(n / kRate, counts);
    writer.AddReading(n / kRate, 1, n % 50 < 25 ? 0 : 0.5);
  }
  writer.Flush();
}

class FilmSoFarTest : public ::testing::Test {
 protected:
  testing::TempFolder folder_;
  FilmWriter writer_{folder_ / "case",
                     {"[frames]\nscale = 0.01\nzero = 0\n[surface]\nemissivity = 1\n", {}},
                     FilmKind::kOneClock};
  FilmSoFar film_;
};

TEST_F(FilmSoFarTest, HoldsMeansOfAFifthOfASecond) {
  Film(writer_, 0, 103);
  const Case job = film_.Read(writer_.case_file(), 1e9);
  ASSERT_EQ(job.frames->count(), 20);  // Of 5 each.
  EXPECT_EQ(film_.num_frames(), 100);
  Image kelvin;
  job.frames->Read(10, kelvin);
  EXPECT_NEAR(kelvin(3, 3), 300.52, 1e-3);
  EXPECT_NEAR(job.frame_times_s[10], 52 / kRate, 1e-6);
  EXPECT_EQ(job.supply->amps_a.size(), 103U);
}

TEST_F(FilmSoFarTest, GrowsWithTheFilmAndStaysTheSame) {
  Film(writer_, 0, 60);
  (void)film_.Read(writer_.case_file(), 1e9);
  Film(writer_, 60, 200);
  const Case grown = film_.Read(writer_.case_file(), 1e9);
  FilmSoFar at_once;
  const Case whole = at_once.Read(writer_.case_file(), 1e9);
  ASSERT_EQ(grown.frames->count(), whole.frames->count());
  EXPECT_EQ(grown.frame_times_s, whole.frame_times_s);
  Image a, b;
  for (int n = 0; n < whole.frames->count(); ++n) {
    grown.frames->Read(n, a);
    whole.frames->Read(n, b);
    EXPECT_EQ(cv::norm(a, b, cv::NORM_INF), 0);
  }
}

TEST_F(FilmSoFarTest, ThinsManyOut) {
  Film(writer_, 0, 200);
  const Case job = film_.Read(writer_.case_file(), 12 * 16 * 20);
  EXPECT_LE(job.frames->count(), 20);
  EXPECT_EQ(job.frame_times_s.size(), static_cast<std::size_t>(job.frames->count()));
}

TEST_F(FilmSoFarTest, SaysWhereThereIsTooLittle) {
  Film(writer_, 0, 5);
  EXPECT_THROW((void)film_.Read(writer_.case_file(), 1e9), DataError);
}

}  // namespace
}  // namespace ohmglow::record
