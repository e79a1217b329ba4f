// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/heading_times.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <functional>

#include "case_folder.h"
#include "expect_error.h"
#include "input/count_pages.h"
#include "input/heading_line.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/file_notes.h"
#include "ohmglow/words/say_clauses.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using ::testing::ElementsAre;
using testing::ExpectError;
using ::testing::HasSubstr;

constexpr int kFrames = 12;

// Frames of 3 x 2 numbers one below the other, each under what `heading` gives.
std::string Tables(const std::function<std::string(int)>& heading) {
  std::string text;
  for (int i = 0; i < kFrames; ++i) {
    text += heading(i);
    text += "22.5;23.5;24.5\n22.7;23.1;2" + std::to_string(i % 5) + ".3\n";
  }
  return text;
}

class TableCase : public CaseFolder {
 public:
  explicit TableCase(const std::string& text) {
    folder().Write("table.csv", text);
    Set("frames.source", "table.csv");
    for (const char* name : {"frames.scale", "frames.zero", "frames.times"}) Remove(name);
  }
};

std::vector<double> TimesOf(const std::string& text) {
  return LoadCase(TableCase(text).Ini()).frame_times_s;
}

std::string Fixed(double value, int digits, char decimal = '.') {
  char text[32];
  std::snprintf(text, sizeof text, "%.*f", digits, value);
  std::string out = text;
  std::replace(out.begin(), out.end(), '.', decimal);
  return out;
}

void ExpectEvery(const std::vector<double>& times_s, double first_s, double step_s) {
  ASSERT_EQ(times_s.size(), static_cast<std::size_t>(kFrames));
  for (int i = 0; i < kFrames; ++i) {
    EXPECT_NEAR(times_s[static_cast<std::size_t>(i)], first_s + i * step_s, 2e-3) << "frame " << i;
  }
}

TEST(HeadingLine, TakesValuesWithTheWordsBeforeThem) {
  const auto pairs = [](std::string_view line) {
    std::vector<std::string> all;
    for (const HeadingValue& one : ReadHeadingLine(line)) {
      all.push_back(std::string(one.label) + "|" + std::string(one.value));
    }
    return all;
  };
  EXPECT_THAT(pairs("Frame 3, t = 12.5 s"), ElementsAre("Frame|3", "t|12.5 s"));
  EXPECT_THAT(pairs("Frame;3;Time [ms];250"), ElementsAre("Frame|3", "Time [ms]|250"));
  EXPECT_THAT(pairs("# 3,12.5"), ElementsAre("|3", "|12.5"));
  EXPECT_THAT(pairs("Bild 7 (1,25 s) bei 0,4 m"), ElementsAre("Bild|7", "|1,25 s", "bei|0,4"));
  EXPECT_THAT(pairs("Date: 2026-11-28 18:05:00.125, e 0.93"),
              ElementsAre("Date|2026-11-28 18:05:00.125", "e|0.93"));
  EXPECT_THAT(pairs("REC0001 T2 8px -5"), ElementsAre("REC0001 T2|8", "px|-5"));
  EXPECT_THAT(pairs("no value"), ElementsAre());
}

TEST(HeadingTimes, AreReadInTheirManySpellings) {
  const auto at = [](int i) { return 2.0 + 0.25 * i; };
  ExpectEvery(TimesOf(Tables([&](int i) {
                return "Frame " + std::to_string(i) + ", t = " + Fixed(at(i), 3) + " s\n";
              })),
              2,
              0.25);
  ExpectEvery(TimesOf(Tables([&](int i) {
                return "\nBild " + std::to_string(i) + "\nZeit: " + Fixed(at(i), 2, ',') + " s\n\n";
              })),
              2,
              0.25);
  ExpectEvery(TimesOf(Tables([&](int i) {
                return "[" + std::to_string(i) + "] after " + Fixed(1000 * at(i), 0) + " ms\n";
              })),
              2,
              0.25);
  ExpectEvery(TimesOf(Tables([&](int i) { return "Time (ms);" + Fixed(1000 * at(i), 0) + "\n"; })),
              2,
              0.25);
  ExpectEvery(TimesOf(Tables([&](int i) { return "time " + Fixed(at(i), 2) + "\n"; })), 2, 0.25);
}

TEST(HeadingTimes, OfAClockBeginAtZeroAndPassMidnight) {
  ExpectEvery(TimesOf(Tables([](int i) {
                const int s = (86395 + i) % 86400;
                char text[64];
                std::snprintf(
                    text, sizeof text, "Time: %02d:%02d:%02d.500\n", s / 3600, s / 60 % 60, s % 60);
                return std::string(text);
              })),
              0,
              1);
  ExpectEvery(TimesOf(Tables([](int i) {
                return "2026-11-28T18:05:" + Fixed(10 + 0.5 * i, 3) + " e=0.93\n";
              })),
              0,
              0.5);
}

TEST(HeadingTimes, TellTheClockThatALogIsTiedTo) {
  TableCase made(Tables([](int i) { return "2026-11-28 18:05:" + Fixed(10 + 0.5 * i, 1) + "\n"; }));
  made.folder().Write("supply.csv",
                      "time;volts;amps\n2026-11-28 18:05:11.5;0;0\n2026-11-28 18:05:13.5;1;0.5\n");
  made.Remove("supply.clock_offset_s");
  const Case job = LoadCase(made.Ini());
  ASSERT_TRUE(job.supply.has_value());
  EXPECT_NEAR(job.supply->time_s.front(), 1.5, 1e-6);
}

TEST(HeadingTimes, LetALogThatCountsOtherwiseBeginWithTheFrames) {
  TableCase made(Tables([](int i) { return "t = " + Fixed(3600.5 + 0.5 * i, 1) + " s\n"; }));
  made.folder().Write("supply.csv", "time_s,volts,amps\n0,0,0\n4,1,0.5\n");
  const Case job = LoadCase(made.Ini());
  EXPECT_EQ(job.frame_times_s.front(), 3600.5);
  EXPECT_EQ(job.supply->time_s.front(), 3600.5);
  // A given offset says all of it.
  made.Set("supply.clock_offset_s", "3600.5");
  EXPECT_EQ(LoadCase(made.Ini()).supply->time_s.front(), 0);
  made.Set("supply.clock_offset_s", "auto");
  made.folder().Write("supply.csv", "time_s,volts,amps\n3599.5,0,0\n3605,1,0.5\n");
  EXPECT_EQ(LoadCase(made.Ini()).supply->time_s.front(), 3599.5);
}

TEST(HeadingTimes, AreNotTakenFromWhatStandsStillOrIsNoTime) {
  const std::string text = Tables([](int i) {
    return "Integration time 10 ms, spot " + Fixed(30 + 0.1 * i, 1) + " C, frame " +
           std::to_string(i) + "\n";
  });
  ExpectEvery(TimesOf(text), 0, 0.125);  // 8 frames a second, as nothing tells.
}

TEST(HeadingTimes, MayLackAFrameOfTen) {
  const auto lines = [](int missing, int from) {
    return Tables([=](int i) {
      const bool lost = i >= from && i < from + missing;
      return lost ? std::string("?\n") : "t = " + Fixed(0.5 * i, 1) + " s\n";
    });
  };
  ExpectEvery(TimesOf(lines(1, 5)), 0, 0.5);
  ExpectEvery(TimesOf(lines(1, kFrames - 1)), 0, 0.5);
  ExpectEvery(TimesOf(lines(1, 0)), 0, 0.5);
  ExpectEvery(TimesOf(lines(2, 5)), 0, 0.125);
}

TEST(HeadingTimes, ThatDifferAreAskedFor) {
  TableCase made(Tables(
      [](int i) { return "time " + Fixed(0.5 * i, 1) + ", elapsed " + Fixed(2.5 * i, 1) + "\n"; }));
  ExpectError<InputError>([&] { (void)LoadCase(made.Ini()); },
                          {"the lines above the tables tell two times, at 'time' and at "
                           "'elapsed'; set frames.times or frames.rate_hz"});
  made.Set("frames.rate_hz", "2");
  ExpectEvery(LoadCase(made.Ini()).frame_times_s, 0, 0.5);
  // Hours and minutes, or minutes and seconds.
  made.Remove("frames.rate_hz");
  made.folder().Write("table.csv",
                      Tables([](int i) { return "time 14:" + std::to_string(10 + i) + "\n"; }));
  ExpectError<InputError>([&] { (void)LoadCase(made.Ini()); },
                          {"at 'time', may be seconds or another unit"});
  const auto both = [](int i) {
    return "time 14:" + std::to_string(10 + i) + ", t " + Fixed(0.5 * i, 1) + " s\n";
  };
  made.folder().Write("table.csv", Tables(both));
  ExpectEvery(LoadCase(made.Ini()).frame_times_s, 0, 0.5);
}

TEST(HeadingTimes, OfATableAFrameAreReadAcrossTheFiles) {
  TableCase made("");
  for (int i = 0; i < kFrames; ++i) {
    made.folder().Write("csv/f" + std::to_string(i) + ".csv",
                        "Emissivity 0.93\nTime " + Fixed(0.5 * i, 1, ',') +
                            " s\n22.5;23.5;24.5\n22.7;23.1;2" + std::to_string(i % 5) + ".3\n");
  }
  made.Set("frames.source", "csv");
  const Case job = LoadCase(made.Ini());
  ExpectEvery(job.frame_times_s, 0, 0.5);
  const auto notes = DescribeFiles(job, {{"frames.source", "csv", {}, {}}});
  ASSERT_FALSE(notes.empty());
  EXPECT_THAT(SayClauses(notes[0].understood),
              HasSubstr("times from the line above each table, at 'Time'"));
}

}  // namespace
}  // namespace ohmglow
