// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/wall_tie.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <random>

#include "case_folder.h"

namespace ohmglow {
namespace {

// 2026-11-28 18:05:00, by `date -u -d 2026-11-28T18:05:00 +%s`.
constexpr double kEvening = 1795889100;
constexpr double kDay = 86400;
const std::vector<double> kMinute{0, 30, 60};

SupplyLog Log(double wall_s, double length_s, bool has_date = true) {
  SupplyLog log;
  log.time_s = {0, length_s / 2, length_s};
  log.wall = WallTime{wall_s, has_date};
  return log;
}

TEST(TieByWall, ShiftsByTheDifferenceOfTheClocks) {
  const auto tie = TieByWall(Log(kEvening - 12, 80), {kEvening}, kMinute, 0);
  ASSERT_TRUE(tie);
  EXPECT_EQ(tie->shift_s, -12);
  EXPECT_EQ(tie->zone_quarters, 0);
}

// Zones in use: whole hours, India 5 h 30 min, Nepal 5 h 45 min (from memory).
TEST(TieByWall, TakesOutZones) {
  for (const int quarters : {-48, -20, -4, 4, 8, 22, 23, 56}) {
    const auto tie = TieByWall(Log(kEvening + 900 * quarters + 3, 80), {kEvening}, kMinute, 0);
    ASSERT_TRUE(tie) << quarters;
    EXPECT_EQ(tie->shift_s, 3) << quarters;
    EXPECT_EQ(tie->zone_quarters, quarters);
  }
}

// A log that ran for 40 minutes meets the frames in several quarters: only none counts.
TEST(TieByWall, TakesALongLogInItsOwnZoneOnly) {
  const auto same = TieByWall(Log(kEvening - 1500, 2400), {kEvening}, kMinute, 0);
  ASSERT_TRUE(same);
  EXPECT_EQ(same->shift_s, -1500);
  EXPECT_FALSE(TieByWall(Log(kEvening + 3600 - 600, 2400), {kEvening}, kMinute, 0));
}

// No two zones are 15 minutes apart, nor is UTC 1 h 45 min from any; a log that starts amid the
// frames and ends behind them is one of another run.
TEST(TieByWall, GuessesOnlyZonesThatAre) {
  for (const int quarters : {1, -1, 2, 7, 57, 60}) {
    EXPECT_FALSE(TieByWall(Log(kEvening + 900 * quarters + 3, 80), {kEvening}, kMinute, 0));
  }
  EXPECT_FALSE(TieByWall(Log(kEvening + 3600 + 20, 80), {kEvening}, kMinute, 0));
  EXPECT_FALSE(TieByWall(Log(kEvening + 3600 - 45, 80), {kEvening}, kMinute, 0));
}

TEST(TieByWall, UsesTheZonesThatAreTold) {
  SupplyLog log = Log(kEvening - 3600 - 2, 80);
  log.wall->zone_s = 0;
  const auto tie = TieByWall(log, {kEvening, 3600}, kMinute, 0);
  ASSERT_TRUE(tie);
  EXPECT_EQ(tie->shift_s, -2);
  EXPECT_EQ(tie->zone_quarters, -4);
  EXPECT_FALSE(TieByWall(log, {kEvening, 7200}, kMinute, 0));
  // Dates of files may be those of a copy.
  EXPECT_TRUE(TieByWall(log, {kEvening}, kMinute, 0));
  EXPECT_FALSE(TieByWall(log, {kEvening, std::nullopt, false}, kMinute, 0));
}

// Logs of other runs, anywhere within half a day: their clocks tell nothing, so a tie is a false
// one. By the zones there are and the time a log may outlast the frames 1.6 to 2.8 % tie.
TEST(TieByWall, SeldomTiesALogOfAnotherRun) {
  std::mt19937 random(13001);
  std::uniform_real_distribution<double> apart_s(-kDay / 2, kDay / 2);
  for (const double length_s : {60.0, 300.0}) {
    for (const double longer_s : {0.0, 20.0, 35.0, 120.0, 600.0}) {
      int ties = 0;
      constexpr int kRuns = 20000;
      for (int i = 0; i < kRuns; ++i) {
        const SupplyLog log = Log(kEvening + apart_s(random), length_s + longer_s);
        ties += TieByWall(log, {kEvening}, {0, length_s / 2, length_s}, 0) ? 1 : 0;
      }
      std::printf("%g s, log %g s longer: %.2f %% tie\n", length_s, longer_s, 100.0 * ties / kRuns);
      EXPECT_LT(ties, 0.03 * kRuns) << length_s << " s, log longer by " << longer_s;
    }
  }
}

TEST(TieByWall, LeavesWhatMeetsNowhereOrTwice) {
  EXPECT_FALSE(TieByWall(Log(kEvening + 200, 80), {kEvening}, kMinute, 0));
  EXPECT_FALSE(TieByWall(Log(kEvening - 3 * kDay, 80), {kEvening}, kMinute, 0));
  EXPECT_FALSE(TieByWall(Log(kEvening + 1800, 3 * 3600), {kEvening}, kMinute, 0));
  SupplyLog none = Log(kEvening, 80);
  none.wall.reset();
  EXPECT_FALSE(TieByWall(none, {kEvening}, kMinute, 0));
}

// Times of day alone, also when midnight lies between.
TEST(TieByWall, NeedsNoDate) {
  const double of_day = kEvening - kDay * 20785;
  ASSERT_GE(of_day, 0);
  ASSERT_LT(of_day, kDay);
  for (const auto& tie : {TieByWall(Log(of_day - 12, 80, false), {kEvening}, kMinute, 0),
                          TieByWall(Log(kEvening - 12, 80), {of_day}, kMinute, 0),
                          TieByWall(Log(kDay - 12, 80, false), {kDay * 20785}, kMinute, 0)}) {
    ASSERT_TRUE(tie);
    EXPECT_EQ(tie->shift_s, -12);
    EXPECT_EQ(tie->zone_quarters, 0);
  }
}

// A camera's clock that is known to be wrong by 200 s, or by an hour.
TEST(TieByWall, ReckonsWithAKnownOffset) {
  const auto tie = TieByWall(Log(kEvening + 200, 80), {kEvening}, kMinute, -205);
  ASSERT_TRUE(tie);
  EXPECT_EQ(tie->shift_s, 200);
  const auto hour = TieByWall(Log(kEvening - 3600, 80), {kEvening}, kMinute, 3600);
  ASSERT_TRUE(hour);
  EXPECT_EQ(hour->shift_s, -3600);
}

TEST(DescribeTie, IsOneLine) {
  SupplyLog log = Log(kEvening, 80);
  EXPECT_EQ(DescribeTie({-12, 0}, log, kMinute),
            "laid on the frames by both clocks (first row 12 s before the first frame)");
  EXPECT_EQ(DescribeTie({3.14, 23}, log, kMinute),
            "laid on the frames by both clocks, the log's taken as 5 h 45 min ahead (first row "
            "3.1 s after the first frame)");
  EXPECT_EQ(DescribeTie({0, -1}, log, kMinute),
            "laid on the frames by both clocks, the log's taken as 15 min behind (first row 0 s "
            "before the first frame)");
}

// Frames whose names tell the time beside a log with ISO 8601 in a zone of its own.
TEST(LoadCase, TiesLogAndFramesByTheirClocks) {
  testing::CaseFolder folder;
  folder.Remove("frames.times");
  folder.Set("frames.source", "*.tiff");
  std::filesystem::remove(folder.folder() / "frames.tiff");
  for (int i = 0; i < 4; ++i) {
    testing::WriteTiff(folder.folder() / ("20261128_18050" + std::to_string(i) + "_000.tiff"),
                       {testing::RampPage(i, {12, 8}, CV_16U)},
                       {});
  }
  folder.folder().Write("supply.csv",
                        "Time,Volts,Amps\n2026-11-28T17:04:59.500Z,1,0\n"
                        "2026-11-28T17:05:01.500Z,1,0.5\n2026-11-28T17:05:04.000Z,1,0\n");
  const Case job = LoadCase(folder.Ini());
  EXPECT_EQ(job.frame_times_s, (std::vector<double>{0, 1, 2, 3}));
  ASSERT_EQ(job.supply->time_s.size(), 3U);
  EXPECT_NEAR(job.supply->time_s[0], -0.5, 1e-5);
  EXPECT_NEAR(job.supply->time_s[2], 4, 1e-5);
  EXPECT_FALSE(job.clock_offset_s);
  const std::vector<std::string> assumed = ToTexts(job.assumed);
  EXPECT_EQ(std::count(assumed.begin(),
                       assumed.end(),
                       "supply.log = laid on the frames by both clocks, the log's taken as 1 h "
                       "behind (first row 0.5 s before the first frame)"),
            1);
  // The same clocks, and the difference between them as the user knows it.
  folder.Set("supply.clock_offset_s", "0.25");
  const Case told = LoadCase(folder.Ini());
  EXPECT_NEAR(told.supply->time_s[0], -0.5, 1e-5);
  EXPECT_EQ(told.clock_offset_s, 0.25);
  // Clocks of different days tell nothing.
  folder.folder().Write("supply.csv",
                        "Time,Volts,Amps\n2026-11-20T17:04:59.500Z,1,0\n"
                        "2026-11-20T17:05:01.500Z,1,0.5\n2026-11-20T17:05:04.000Z,1,0\n");
  const Case apart = LoadCase(folder.Ini());
  EXPECT_EQ(apart.supply->time_s[0], 0);
  EXPECT_EQ(ToText(apart.assumed.back()),
            "supply.log = counted from its own start, as its clock and the frames' do not meet "
            "in one time zone");
}

}  // namespace
}  // namespace ohmglow
