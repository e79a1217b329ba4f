// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <vector>

#include "ohmglow/align/screening_report.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Times of `count` frames at 8 Hz, each off by a share of the interval.
std::vector<double> Times(int count, double jitter, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0, jitter);
  std::vector<double> out;
  for (int n = 0; n < count; ++n) {
    const double shake = jitter > 0 ? std::clamp(normal(random), -0.45, 0.45) : 0;
    out.push_back(100 + (n + shake) / 8);
  }
  return out;
}

TEST(ScreenTimesTest, ShakingTimesLoseNothing) {
  for (const double jitter : {0.0, 0.05, 0.15}) {
    for (unsigned seed = 0; seed < 20; ++seed) {
      ScreeningReport report;
      ScreenTimes(Times(300, jitter, seed), report);
      EXPECT_EQ(report.lost_frames, 0) << jitter << ' ' << seed;
      EXPECT_TRUE(report.events.empty());
    }
  }
}

TEST(ScreenTimesTest, FindsEachGap) {
  for (const double jitter : {0.0, 0.05, 0.1}) {
    std::vector<double> times = Times(300, jitter, 3);
    times.erase(times.begin() + 200, times.begin() + 207);
    times.erase(times.begin() + 101);
    times.erase(times.begin() + 99);  // Two gaps with one frame between.
    times.erase(times.begin() + 2);
    ScreeningReport report;
    ScreenTimes(times, report);
    EXPECT_EQ(report.lost_frames, 10) << jitter;
    ASSERT_EQ(report.events.size(), 4U) << jitter;
    EXPECT_EQ(report.events[0].frame, 2);
    EXPECT_EQ(report.events[1].frame, 98);
    EXPECT_EQ(report.events[2].frame, 99);
    EXPECT_EQ(report.events[3].length, 7);
    EXPECT_EQ(report.events[3].kind, ScreeningEvent::Kind::kLost);
  }
}

TEST(ScreenTimesTest, FewTimes) {
  ScreeningReport report;
  ScreenTimes({}, report);
  EXPECT_EQ(report.lost_frames, 0);
  ScreenTimes({5.0}, report);
  ScreenTimes({5.0, 6.0}, report);
  EXPECT_TRUE(report.events.empty());
}

TEST(ScreenTimesTest, RefusesTimesThatDoNotRise) {
  const auto message = [](std::vector<double> times) -> std::string {
    ScreeningReport report;
    try {
      ScreenTimes(times, report);
    } catch (const DataError& e) {
      return e.what();
    }
    return "";
  };
  EXPECT_NE(message({0, 1, 2, 1.5, 3}).find("frame 3: its time 1.5000 s runs backwards"),
            std::string::npos);
  EXPECT_NE(message({0, 1, 1, 2}).find("frame 2: its time 1.0000 s repeats"), std::string::npos);
  EXPECT_EQ(message({0, 1, 2}), "");
}

}  // namespace
}  // namespace ohmglow
