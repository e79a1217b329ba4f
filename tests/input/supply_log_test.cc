// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/supply_log.h"

#include <gtest/gtest.h>

#include <cmath>

#include "input/log_columns.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

using Numbers = std::vector<double>;

ReadLog Read(std::string_view text, const LogOptions& options = {}) {
  return ParseSupplyLog(text, "log.csv", options);
}

void ExpectNear(const Numbers& got, const Numbers& wanted, const char* what) {
  ASSERT_EQ(got.size(), wanted.size()) << what;
  for (std::size_t i = 0; i < got.size(); ++i) EXPECT_NEAR(got[i], wanted[i], 1e-6) << what << i;
}

// Headers by the words that the languages use for time, voltage and current (dictionary words,
// from memory); every log holds 0 s and 0.5 s, 12 V, 0 A and 0.25 A.
TEST(SupplyLog, ReadsHeadersOfManyLanguages) {
  for (const char* text :
       {"time_s,volts,amps\n0,12,0\n0.5,12,0.25\n",
        "Time (ms),Output Voltage (mV),Output Current (mA)\n0,12000,0\n500,12000,250\n",
        "Zeit [s];Spannung [V];Strom [mA]\n0;12,0;0\n0,5;12,0;250,0\n",
        "Messzeit / s\tAusgangsspannung / V\tAusgangsstrom / A\n0\t12\t0\n0,5\t12\t0,25\n",
        "Temps (s);Tension (V);Courant (mA)\n0;12;0\n0,5;12;250\n",
        "temps;tension V;intensit\xC3\xA9 mA\n0,0;12;0\n0,5;12;250\n",
        "Tiempo (s);Voltaje (V);Corriente (A)\n0;12;0\n0,5;12;0,25\n",
        "Tempo (s);Tensione (V);Corrente (A)\n0;12;0\n0,5;12;0,25\n",
        "Tijd (s);Spanning (V);Stroom (A)\n0;12;0\n0,5;12;0,25\n",
        "Czas [s];Napi\xC4\x99"
        "cie [V];Pr\xC4\x85"
        "d [A]\n0;12;0\n0,5;12;0,25\n",
        "\xC4\x8C"
        "as [s];Nap\xC4\x9Bt\xC3\xAD [V];Proud [A]\n0;12;0\n0,5;12;0,25\n",
        "Tid (s);Sp\xC3\xA4nning (V);Str\xC3\xB6m (A)\n0;12;0\n0,5;12;0,25\n",
        "Tempo (s);Tens\xC3\xA3o (V);Corrente (mA)\n0;12;0\n0,5;12;250\n",
        "\xE6\x97\xB6\xE9\x97\xB4(s),\xE7\x94\xB5\xE5\x8E\x8B(V),\xE7\x94\xB5\xE6\xB5\x81(A)\n"
        "0,12,0\n0.5,12,0.25\n",
        "\xE6\x99\x82\xE9\x96\x93(s),\xE9\x9B\xBB\xE5\x9C\xA7(V),\xE9\x9B\xBB\xE6\xB5\x81(A)\n"
        "0,12,0\n0.5,12,0.25\n",
        "t/s;U/V;I/A\n0;12;0\n0,5;12;0,25\n",
        "\xD0\x92\xD1\x80\xD0\xB5\xD0\xBC\xD1\x8F, "
        "\xD1\x81;\xD0\x9D\xD0\xB0\xD0\xBF\xD1\x80\xD1\x8F\xD0\xB6\xD0\xB5\xD0\xBD\xD0\xB8\xD0\xB5,"
        " \xD0\x92;\xD0\xA2\xD0\xBE\xD0\xBA, \xD0\xBC\xD0\x90\n0,0;12,0;0,0\n0,5;12,0;250,0\n",
        "Aika (s);J\xC3\xA4nnite (V);Virta (A)\n0;12;0\n0,5;12;0,25\n",
        "\xE7\xB5\x8C\xE9\x81\x8E\xE6\x99\x82\xE9\x96\x93(\xE7\xA7\x92),\xE9\x9B\xBB\xE5\x9C\xA7(V)"
        ",\xE9\x9B\xBB\xE6\xB5\x81(A)\n0,12,0\n0.5,12,0.25\n",
        "Zaman (s);Gerilim (V);Ak\xC4\xB1m (A)\n0;12;0\n0,5;12;0,25\n",
        "t=0.0s V=12.00 I=0mA\nt=0.5s V=12.00 I=250mA\n",
        "# started\ntime=0, volts=12, amps=0\ntime=0.5, volts=12, amps=0.25\n",
        "Time,Voltage,Current\ns,kV,\xC2\xB5"
        "A\n0,0.012,0\n0.5,0.012,250000\n",
        "time;voltage;current\n0 ms;12 V;0 mA\n500 ms;12 V;250 mA\n",
        "Current (A)  Voltage (V)  Time (s)\n0 12 0\n0.25 12 0.5\n"}) {
    const SupplyLog log = Read(text).log;
    ExpectNear(log.time_s, {0, 0.5}, text);
    ExpectNear(log.volts_v, {12, 12}, text);
    ExpectNear(log.amps_a, {0, 0.25}, text);
  }
}

// Polish and Czech headers in their code page, which a western one reads as other letters.
TEST(SupplyLog, TakesTheCodePageInWhichItKnowsMostWords) {
  const ReadLog read = Read(
      "Czas;Napi\xEA"
      "cie;Pr\xB9"
      "d\n0,0;12;0\n0,5;12;0,25\n");
  EXPECT_EQ(read.reading.encoding, "WINDOWS-1250");
  ExpectNear(read.log.amps_a, {0, 0.25}, "amps");
  // The Russian one of above.
  const ReadLog russian = Read(
      "\xC2\xF0\xE5\xEC\xFF, \xF1;\xCD\xE0\xEF\xF0\xFF\xE6\xE5\xED\xE8\xE5, \xC2;\xD2\xEE\xEA, "
      "\xEC\xC0\n0,0;12,0;0,0\n0,5;12,0;250,0\n");
  EXPECT_EQ(russian.reading.encoding, "WINDOWS-1251");
  ExpectNear(russian.log.amps_a, {0, 0.25}, "amps");
}

TEST(SupplyLog, MakesAmpsOfWattsOverVolts) {
  const ReadLog read = Read("time_s,Voltage (V),Power (mW)\n0,0,0\n1,2,500\n2,4,3000\n");
  ExpectNear(read.log.amps_a, {0, 0.25, 0.75}, "amps");
  EXPECT_EQ(read.reading.guesses.back(), "amps are Power (mW) over volts");
  const ReadLog fixed = Read("time_s,watts\n0,0\n1,3\n", {.volts_v = 12});
  ExpectNear(fixed.log.amps_a, {0, 0.25}, "amps");
}

// The one-channel part of logs with two: measured before set, live before dead.
TEST(SupplyLog, ChoosesAmongChannelsWhereTheChoiceIsPlain) {
  const ReadLog live = Read(
      "Time (s),CH1 Voltage (V),CH1 Current (A),CH2 Voltage (V),CH2 Current (A)\n"
      "0,0,0,5,0.1\n1,0,0,5,0.2\n");
  ExpectNear(live.log.amps_a, {0.1, 0.2}, "amps");
  ExpectNear(live.log.volts_v, {5, 5}, "volts");
  ASSERT_EQ(live.reading.guesses.size(), 1U);
  EXPECT_EQ(live.reading.guesses[0],
            "CH1 Current (A) is zero throughout, so CH2 Current (A) is used");
  const ReadLog measured =
      Read("t (s);U soll (V);U ist (V);I soll (A);I ist (A)\n0;5;4,9;1;0,1\n1;5;4,8;1;0,2\n");
  ExpectNear(measured.log.amps_a, {0.1, 0.2}, "amps");
  ExpectNear(measured.log.volts_v, {4.9, 4.8}, "volts");
  const ReadLog set = Read("time_s,Set current (A),Output\n0,1,off\n1,1,ON\n2,0.5,1\n3,0.5,0\n");
  ExpectNear(set.log.amps_a, {0, 1, 0.5, 0}, "amps");
  const ReadLog words =
      Read("time_s,Set current (A),Output\n0,1,0.0\n1,1,Ein\n2,0.5,1.0\n3,0.5,Arrêt\n");
  ExpectNear(words.log.amps_a, {0, 1, 0.5, 0}, "amps");
  const LogOptions second{.columns = "time=1, volts=CH2 Voltage, amps=CH2 Current:mA"};
  const ReadLog stated = Read(
      "Time,CH1 Voltage,CH1 Current,CH2 Voltage,CH2 Current\n0,1,1,5,100\n1,1,1,5,200\n", second);
  ExpectNear(stated.log.amps_a, {0.1, 0.2}, "amps");
  const ReadLog bare = Read("0;1,5;0,1\n1;1,5;0,2\n", {.columns = "time=1,volts=2,amps=3"});
  ExpectNear(bare.log.amps_a, {0.1, 0.2}, "amps");
}

struct Clock {
  const char* header;
  const char* first;
  const char* second;
  LogTime kind;
  double step_s;
  double wall_s;  // Negative where the log says none.
};

// 2026-03-01 12:00:00 is day 20513 and a half of the count from 1970-01-01 (proleptic Gregorian
// calendar, ISO 8601): 56 years of 365 days, 14 leap days from 1972 to 2024, 59 days to March.
constexpr double kNoonS = (56.0 * 365 + 14 + 59 + 0.5) * 86400;

TEST(SupplyLog, ReadsClocks) {
  for (const Clock& one :
       {Clock{"time",
              "2026-03-01T12:00:00",
              "2026-03-01T12:00:00.5",
              LogTime::kDateTime,
              0.5,
              kNoonS},
        Clock{"tid", "2026-03-01 12.00.00", "2026-03-01 12.00.01", LogTime::kDateTime, 1, kNoonS},
        Clock{"klockslag", "12.00.00,25", "12.00.00,75", LogTime::kClock, 0.5, 43200.25},
        Clock{"time",
              "2026-03-01 12:00:00,000",
              "2026-03-01 12:00:00,500",
              LogTime::kDateTime,
              0.5,
              kNoonS},
        Clock{
            "time", "2026-03-01T12:00:00Z", "2026-03-01T12:00:01Z", LogTime::kDateTime, 1, kNoonS},
        Clock{"time",
              "2026-03-01T12:00:00+01:00",
              "2026-03-01T12:00:01+01:00",
              LogTime::kDateTime,
              1,
              kNoonS},
        Clock{"time", "20260301T120000", "20260301T120001", LogTime::kDateTime, 1, kNoonS},
        Clock{"time", "20260301120000", "20260301120001", LogTime::kDateTime, 1, kNoonS},
        Clock{"time", "01.03.2026 12:00:00", "01.03.2026 12:00:01", LogTime::kDateTime, 1, kNoonS},
        Clock{"time",
              "1-Mar-2026 12:00:00 PM",
              "1-Mar-2026 12:00:01 PM",
              LogTime::kDateTime,
              1,
              kNoonS},
        Clock{"time",
              "2/28/2026 11:59:59 PM",
              "3/1/2026 12:00:00 AM",
              LogTime::kDateTime,
              1,
              kNoonS - 43201},
        Clock{"time", "12:00:00", "12:00:01", LogTime::kClock, 1, 43200},
        Clock{"time", "12:00:00.250", "12:00:00.500", LogTime::kClock, 0.25, 43200.25},
        Clock{"time", "12:00:00:250", "12:00:00:500", LogTime::kClock, 0.25, 43200.25},
        Clock{"time", "23:59:59.5", "00:00:00.5", LogTime::kClock, 1, 86399.5},
        Clock{"time", "01:23.5", "01:24.0", LogTime::kClock, 0.5, 83.5},
        Clock{"time", "1772366400", "1772366401", LogTime::kEpoch, 1, kNoonS},
        Clock{"time", "1772366400000", "1772366400500", LogTime::kEpoch, 0.5, kNoonS},
        Clock{"time (ms)", "1772366400000", "1772366400500", LogTime::kEpoch, 0.5, kNoonS},
        Clock{"time", "1772366400000000", "1772366400500000", LogTime::kEpoch, 0.5, kNoonS},
        Clock{"time", "46082.5", "46082.500011574", LogTime::kDays, 1, kNoonS},
        Clock{"time (min)", "0", "0.5", LogTime::kSince, 30, -1},
        Clock{"time", "3.5", "4", LogTime::kSince, 0.5, -1}}) {
    const std::string text =
        std::string(one.header) + ";amps\n" + one.first + ";0\n" + one.second + ";1\n";
    const ReadLog read = Read(text);
    EXPECT_EQ(read.reading.time, one.kind) << text;
    EXPECT_NEAR(read.log.time_s[1] - read.log.time_s[0], one.step_s, 1e-4) << text;
    EXPECT_EQ(read.log.wall.has_value(), one.wall_s >= 0) << text;
    if (!read.log.wall) continue;
    EXPECT_EQ(read.log.time_s[0], 0) << text;
    EXPECT_NEAR(read.log.wall->since_1970_s, one.wall_s, 1e-4) << text;
    EXPECT_EQ(read.log.wall->has_date, one.kind != LogTime::kClock) << text;
  }
  const ReadLog zone =
      Read("time,amps\n2026-03-01T12:00:00+01:00,0\n2026-03-01T12:00:01+01:00,1\n");
  EXPECT_EQ(zone.log.wall->zone_s, 3600.0);
}

TEST(SupplyLog, JoinsDateTimeAndMillisecondsOfSeveralColumns) {
  const ReadLog read =
      Read("Date,Time,ms,Current (A)\n2026-02-28,23:59:59,750,0\n2026-03-01,00:00:00,250,1\n");
  ExpectNear(read.log.time_s, {0, 0.5}, "time");
  EXPECT_NEAR(read.log.wall->since_1970_s, kNoonS - 43200 - 0.25, 1e-6);
  // Elapsed seconds and a clock that go alike: the finer counts, the other gives the hour.
  const ReadLog both =
      Read("Elapsed (s);Clock;Current (A)\n0,25;12:00:00;0\n0,75;12:00:00;1\n1,25;12:00:01;1\n");
  ExpectNear(both.log.time_s, {0.25, 0.75, 1.25}, "time");
  EXPECT_NEAR(both.log.wall->since_1970_s, 43199.75, 1e-6);
}

TEST(SupplyLog, SpreadsRowsThatShareOneTime) {
  std::string text = "time,amps\n";
  for (int i = 0; i < 40; ++i) {
    text += "12:00:0" + std::to_string((i + 2) / 4 % 10) + "," + std::to_string(i) + "\n";
  }
  const ReadLog read = Read(text.substr(0, 300));
  ASSERT_GT(read.log.time_s.size(), 20U);
  for (std::size_t i = 1; i < read.log.time_s.size(); ++i) {
    EXPECT_NEAR(read.log.time_s[i] - read.log.time_s[i - 1], 0.25, 1e-9) << i;
  }
}

TEST(SupplyLog, UsesADamagedLogAsFarAsItGoes) {
  std::string text = "time_s,volts,amps\n";
  for (int i = 0; i < 40; ++i) {
    text += std::to_string(i) + ",12," + (i == 7 ? "----" : "0.5") + "\n";
    if (i == 20) text += "20,12,0.5\n";  // Doubled.
  }
  text += "40,1";
  const ReadLog read = Read(text);
  EXPECT_EQ(read.reading.rows, 42);
  EXPECT_EQ(read.reading.rows_used, 39);
  ASSERT_EQ(read.reading.lost.size(), 3U);
  EXPECT_EQ(read.reading.lost[0].reason,
            "row 9, column amps: '----' is not a finite number; write it like -12.5");
  EXPECT_EQ(read.reading.lost[1].line, 43);
  EXPECT_EQ(read.reading.lost[2].line, 23);
  // Two rows that changed places are put in order.
  const ReadLog swapped =
      Read("time_s,amps\n0,0\n1,0\n2,0\n3,0\n4,0\n6,1\n5,0\n7,1\n8,1\n9,1\n10,1\n");
  ExpectNear(swapped.log.time_s, {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, "time");
  EXPECT_EQ(swapped.reading.guesses[0], "1 rows out of order were put in order");
}

TEST(SupplyLog, SaysWhatItUnderstood) {
  const ReadLog read =
      Read("Bench\n\nZeit (ms);Spannung (V);Strom (mA)\n0;12,0;0\n500;12,0;250,5\n");
  EXPECT_EQ(DescribeColumns(read.reading),
            "time=Zeit (ms):ms, volts=Spannung (V):V, amps=Strom (mA):mA");
  EXPECT_EQ(read.reading.delimiter, "semicolon");
  EXPECT_EQ(read.reading.decimal, ',');
  EXPECT_EQ(read.reading.lines_above, 2);
  EXPECT_TRUE(read.reading.guesses.empty());
  EXPECT_EQ(read.reading.rows_used, 2);
}

std::string Refusal(const std::string& text, const LogOptions& options = {}) {
  try {
    (void)Read(text, options);
  } catch (const InputError& error) {
    return error.what();
  }
  return "read";
}

TEST(SupplyLog, AsksWhetherAClockOfTwoFieldsCountsHours) {
  // Begins near zero: a stopwatch.
  EXPECT_EQ(Read("Time,Current (A)\n00:00,0\n00:05,1\n00:10,0\n").log.time_s, (Numbers{0, 5, 10}));
  const std::string late = "Time,Current (A)\n14:03,0\n14:05,1\n14:09,0\n";
  EXPECT_EQ(Refusal(late),
            "log.csv, row 1, column Time: may count hours and minutes or minutes and seconds; say "
            "which, such as supply.columns = time=Time:h, amps=... or time=Time:min, amps=...");
  LogOptions options;
  options.columns = "time=Time:min, amps=2";
  EXPECT_EQ(Read(late, options).log.time_s, (Numbers{0, 2, 6}));
  options.columns = "time=Time:h, amps=2";
  EXPECT_EQ(Read(late, options).log.time_s, (Numbers{0, 120, 360}));
}

TEST(SupplyLog, AsksWhetherWholeNumbersAreMilliamps) {
  const std::string whole = "time_s,Current\n0,0\n1,10\n2,20\n3,30\n";
  EXPECT_NE(Refusal(whole).find("whole numbers up to 30 may be A or mA"), std::string::npos)
      << Refusal(whole);
  LogOptions options;
  options.columns = "time=1, amps=2:mA";
  EXPECT_EQ(Read(whole, options).log.amps_a, (Numbers{0, 0.01, 0.02, 0.03}));
  // Few amps, or with decimals: as a supply shows them.
  EXPECT_EQ(Read("time_s,Current\n0,0\n1,1\n2,2\n3,3\n").log.amps_a, (Numbers{0, 1, 2, 3}));
  EXPECT_EQ(Read("time_s,Current\n0,0\n1,9.9\n2,20\n3,30\n").log.amps_a[1], 9.9);
}

TEST(SupplyLog, SaysWhatItTakesNumbersWithoutAUnitFor) {
  EXPECT_EQ(Read("Time,Current (A)\n0,0\n0.5,1\n1,0\n").reading.guesses,
            std::vector<std::string>{"Time is taken in s"});
  EXPECT_EQ(Read("Time,Current (A)\n0,0\n500,1\n10000,0\n10500,0\n").reading.guesses,
            std::vector<std::string>{"Time is taken in ms"});
}

}  // namespace
}  // namespace ohmglow
