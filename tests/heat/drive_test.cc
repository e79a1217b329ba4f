// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/drive.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "ohmglow/base/error.h"
#include "support/scene.h"

namespace ohmglow {
namespace {

using testing::StepLog;

const std::vector<double> kTimesS = {0.5, 4.9, 5.01, 5.5, 7, 11, 14.9, 15.2, 18, 29, 40};

TEST(LagResponse, OfAStepIsOneMinusTheExponential) {
  const Drive drive(StepLog({{5, 2.0}}, 30), 0);
  for (const double tau_s : {0.05, 1.0, 20.0}) {
    const std::vector<double> y = drive.LagResponse(kTimesS, tau_s, 2);
    for (std::size_t i = 0; i < y.size(); ++i) {
      const double since_s = kTimesS[i] - 5;
      EXPECT_NEAR(y[i], since_s < 0 ? 0 : -std::expm1(-since_s / tau_s), 2e-5) << kTimesS[i];
    }
  }
}

// Linear, so two steps are the sum of two; exponent 2 makes the first a quarter.
TEST(LagResponse, OfTwoStepsIsTheirSum) {
  const Drive drive(StepLog({{5, 1.0}, {15, 2.0}}, 30), 0);
  for (const double exponent : {1.0, 2.0}) {
    const double first = std::pow(0.5, exponent);
    const std::vector<double> y = drive.LagResponse(kTimesS, 3, exponent);
    for (std::size_t i = 0; i < y.size(); ++i) {
      const double a = std::max(0.0, kTimesS[i] - 5);
      const double b = std::max(0.0, kTimesS[i] - 15);
      EXPECT_NEAR(y[i], -first * std::expm1(-a / 3) - (1 - first) * std::expm1(-b / 3), 1e-5);
    }
  }
}

// y = s (t - tau + tau exp(-t/tau)) for p = s t.
TEST(LagResponse, OfARampTrailsIt) {
  SupplyLog ramp;
  for (int i = 0; i <= 15; ++i) {
    ramp.time_s.push_back(i);
    ramp.volts_v.push_back(std::min(0.1 * i, 1.0));
    ramp.amps_a.push_back(std::min(0.2 * i, 2.0));
  }
  const std::vector<double> times_s = {0.3, 2, 5, 9.99};
  const std::vector<double> y = Drive(ramp, 0).LagResponse(times_s, 1.5, 1);
  for (std::size_t i = 0; i < y.size(); ++i) {
    const double t = times_s[i];
    EXPECT_NEAR(y[i], 0.1 * (t - 1.5 + 1.5 * std::exp(-t / 1.5)), 1e-12);
  }
}

TEST(LagResponse, DoesNotDependOnWhereElseItIsAskedOrOnTheLogsRows) {
  const SupplyLog sparse{{0, 1, 3, 5, 6, 8}, {0, 0, 1, 1, 0, 0}, {0, 0, 2, 2, 0.5, 0.5}};
  SupplyLog dense;  // The same polyline of currents, with 30 rows.
  const std::vector<double> at = {0, 1, 3, 5, 6, 8};
  for (int i = 0; i < 5; ++i) {
    for (int k = 0; k < 6; ++k) {
      const auto n = static_cast<std::size_t>(i);
      const double share = k / 6.0;
      dense.time_s.push_back((1 - share) * at[n] + share * at[n + 1]);
      dense.volts_v.push_back(1);
      dense.amps_a.push_back((1 - share) * sparse.amps_a[n] + share * sparse.amps_a[n + 1]);
    }
  }
  const std::vector<double> few = {0.8, 2, 5.5, 7};
  std::vector<double> many;
  for (int i = 0; i <= 80; ++i) many.push_back(0.1 * i);
  const std::vector<double> y_few = Drive(sparse, 0).LagResponse(few, 2, 1);
  const std::vector<double> y_many = Drive(sparse, 0).LagResponse(many, 2, 1);
  const std::vector<double> y_dense = Drive(dense, 0).LagResponse(few, 2, 1);
  for (std::size_t i = 0; i < few.size(); ++i) {
    EXPECT_NEAR(y_few[i], y_many[static_cast<std::size_t>(std::lround(10 * few[i]))], 1e-9);
    EXPECT_NEAR(y_few[i], y_dense[i], 1e-12);
  }
}

TEST(LagResponse, BeginsAtRestWithTheFirstRowsCurrent) {
  const SupplyLog on{{0, 5, 5.001, 9, 10}, {1, 1, 2, 2, 2}, {1, 1, 2, 2, 2}};
  const std::vector<double> times_s = {-3, 2};
  for (const double y : Drive(on, 0).LagResponse(times_s, 4, 2)) EXPECT_NEAR(y, 0.25, 1e-12);
}

TEST(LagResponse, MovesWithTheClockOffset) {
  const SupplyLog log = StepLog({{5, 1.0}, {15, 2.0}}, 30);
  const std::vector<double> early = {6, 12, 18};
  const std::vector<double> late = {8.5, 14.5, 20.5};
  const std::vector<double> a = Drive(log, 0).LagResponse(early, 2, 2);
  const std::vector<double> b = Drive(log, 2.5).LagResponse(late, 2, 2);
  for (std::size_t i = 0; i < a.size(); ++i) EXPECT_NEAR(a[i], b[i], 1e-12);
}

TEST(Levels, ListEveryLastingCurrentWithItsVolts) {
  const Drive drive(StepLog({{5, 1.0}, {15, 2.0}, {25, 0.0}}, 30), 1);
  const std::vector<SupplyLevel> levels = drive.Levels();
  ASSERT_EQ(levels.size(), 4U);
  const double starts_s[] = {1, 6, 16, 26};
  const double amps[] = {0, 1, 2, 0};
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_NEAR(levels[i].start_s, starts_s[i], 1e-3);
    EXPECT_NEAR(levels[i].end_s, i < 3 ? starts_s[i + 1] : 31, 1e-3);
    EXPECT_DOUBLE_EQ(levels[i].amps_a, amps[i]);
    EXPECT_NEAR(levels[i].watts_w(), testing::kLogOhm * amps[i] * amps[i], 1e-12);
  }
  EXPECT_DOUBLE_EQ(drive.top_amps_a(), 2);
  EXPECT_NEAR(drive.top_end_s(), 26, 1e-3);
}

TEST(Drive, HoldsTheCurrentBeyondTheLogsEnds) {
  const Drive drive(StepLog({{5, 1.0}, {15, 2.0}}, 30), 0);
  EXPECT_EQ(drive.AmpsAt(-100), 0);
  EXPECT_EQ(drive.AmpsAt(10), 1);
  EXPECT_EQ(drive.AmpsAt(100), 2);
}

TEST(Drive, ReadsAReversedShuntAsItsMagnitude) {
  SupplyLog reversed = StepLog({{5, 1.0}, {15, 2.0}}, 30);
  const Drive usual(reversed, 0);
  for (double& amps : reversed.amps_a) amps = -amps;
  const Drive drive(reversed, 0);
  EXPECT_EQ(drive.top_amps_a(), 2);
  EXPECT_EQ(drive.LagResponse(kTimesS, 1, 1), usual.LagResponse(kTimesS, 1, 1));
}

TEST(Drive, DoesNotTakeItsScaleFromOneWildRow) {
  SupplyLog log = StepLog({{5, 2.0}}, 30);
  log.amps_a[log.amps_a.size() / 2] = 60;
  EXPECT_EQ(Drive(log, 0).top_amps_a(), 2);
}

// The log of a supply that goes on writing long after the capture.
TEST(Drive, TakesItsScaleFromTheFramesHoweverLongTheLog) {
  const SupplyLog log = StepLog({{6, 1.0}, {18, 2.0}, {32, 0.0}}, 2400);
  EXPECT_EQ(Drive(log, 0).top_amps_a(), 2);
  const Drive drive(log, 0, TimeSpan{0, 40});
  EXPECT_EQ(drive.top_amps_a(), 2);
  EXPECT_NEAR(drive.top_end_s(), 32, 1e-3);
  EXPECT_NEAR(drive.Levels().back().end_s, 40, 1e-3);
}

TEST(Drive, LeavesOutWhatTheSupplyDidAfterTheFrames) {
  const testing::Steps steps = {{6, 1.0}, {18, 2.0}, {32, 0.0}};
  testing::Steps later = steps;
  later.push_back({60, 4.0});
  later.push_back({75, 0.0});
  const Drive drive(StepLog(later, 80), 1.5, TimeSpan{0, 40});
  EXPECT_EQ(drive.top_amps_a(), 2);
  EXPECT_EQ(drive.Levels().size(), 4U);
  const Drive usual(StepLog(steps, 80), 1.5, TimeSpan{0, 40});
  EXPECT_EQ(drive.LagResponse(kTimesS, 3, 2), usual.LagResponse(kTimesS, 3, 2));
}

// What went before is history: it cools while the frames are taken, but sets no scale.
TEST(Drive, KeepsWhatTheSupplyDidBeforeTheFrames) {
  const Drive drive(StepLog({{5, 3.0}, {20, 0.0}, {32, 1.0}, {42, 0.0}}, 60), 0, TimeSpan{24, 50});
  EXPECT_EQ(drive.top_amps_a(), 1);
  ASSERT_EQ(drive.Levels().size(), 3U);
  EXPECT_EQ(drive.Levels().front().amps_a, 0);
  const std::vector<double> at_s = {26};
  EXPECT_NEAR(drive.LagResponse(at_s, 10, 2).front(), 9 * std::exp(-0.6) * -std::expm1(-1.5), 1e-3);
}

// A row at every change and no others: steps, not ramps.
TEST(LagResponse, HoldsTheCurrentInTheGapsOfALog) {
  const SupplyLog changes{{0, 6, 18, 32, 45}, {0, 0.3, 0.6, 0, 0}, {0, 1, 2, 0, 0}};
  const Drive usual(StepLog({{6, 1.0}, {18, 2.0}, {32, 0.0}}, 45), 0);
  const Drive drive(changes, 0);
  EXPECT_EQ(drive.top_amps_a(), 2);
  EXPECT_NEAR(drive.top_end_s(), 32, 1e-3);
  const std::vector<double> expected = usual.LagResponse(kTimesS, 2, 2);
  const std::vector<double> found = drive.LagResponse(kTimesS, 2, 2);
  for (std::size_t i = 0; i < expected.size(); ++i) EXPECT_NEAR(found[i], expected[i], 1e-5);
}

std::string MessageOf(const SupplyLog& log) {
  try {
    const Drive drive(log, 0);
  } catch (const DataError& error) {
    return error.what();
  }
  return "";
}

TEST(Drive, SaysWhatToDoWhereTheLogHasNoStep) {
  const std::string none = MessageOf({{0, 1, 2, 3}, {1, 1, 1, 1}, {2, 2, 2, 2}});
  EXPECT_NE(none.find("no current step"), std::string::npos) << none;
  EXPECT_NE(none.find("capture again"), std::string::npos) << none;
  EXPECT_NE(MessageOf({{0, 1, 2}, {0, 0, 0}, {0, 0, 0}}).find("no current step"),
            std::string::npos);
  EXPECT_NE(MessageOf({{0}, {0}, {0}}).find("fewer than two rows"), std::string::npos);
}

// Volts across a wire cannot go to zero while its current stays.
TEST(Drive, TellsVoltsThatStepBesideAmpsThatStay) {
  const std::string said = MessageOf({{0, 1, 2, 3}, {0, 0.5, 1.2, 0}, {2, 2, 2.01, 2}});
  EXPECT_NE(said.find("from 0 to 1.2 V while its amps stay at 2"), std::string::npos) << said;
  EXPECT_NE(said.find("swapped, or the amps are the limit"), std::string::npos) << said;
  // Neither without a current nor where the volts only drift, where one reading is lost or where
  // nothing is connected is that known.
  for (const SupplyLog& log : {SupplyLog{{0, 1, 2, 3}, {0, 1, 1, 0}, {0, 0, 0, 0}},
                               SupplyLog{{0, 1, 2, 3}, {1.0, 1.1, 1.2, 1.2}, {2, 2, 2, 2}},
                               SupplyLog{{0, 1, 2, 3}, {1.2, 0, 1.2, 1.2}, {2, 2, 2, 2}},
                               SupplyLog{{0, 1, 2, 3}, {0, 0.003, 0.001, 0}, {2, 2, 2, 2}}}) {
    EXPECT_NE(MessageOf(log).find("no current step"), std::string::npos);
  }
}

// The log has steps, the film does not: another thing to do.
TEST(Drive, SaysWhatToDoWhereTheStepsLieBeyondTheFrames) {
  const SupplyLog log = testing::StepLog({{20, 1}, {30, 2}}, 40);
  try {
    const Drive drive(log, 0, TimeSpan{0, 10});
    FAIL() << "taken";
  } catch (const DataError& error) {
    EXPECT_NE(std::string(error.what()).find("while the frames were taken"), std::string::npos);
    EXPECT_NE(std::string(error.what()).find("clock_offset_s"), std::string::npos);
  }
}

}  // namespace
}  // namespace ohmglow
