// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/supply_budget.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include "support/said.h"

namespace ohmglow {
namespace {

// A log of levels as a bench supply shows it: two decimals of volts, a little noise.
SupplyLog LogOf(const std::vector<double>& amps, double drop_v, double ohm, double step_v = 0.01) {
  std::mt19937 random(7);
  std::normal_distribution<double> noise(0, 0.003);
  SupplyLog log;
  double time_s = 0;
  for (const double level_a : amps) {
    for (int i = 0; i < 30; ++i, time_s += 0.2) {
      const double volts_v = level_a > 0 ? drop_v + ohm * level_a + noise(random) : 0;
      log.time_s.push_back(time_s);
      log.amps_a.push_back(level_a);
      log.volts_v.push_back(step_v * std::round(volts_v / step_v));
    }
  }
  return log;
}

// Volts over amps is a straight line through junction and resistance in series
// (Kirchhoff's voltage law; common practice, no source for reading it this way).
TEST(ReadSupplyPath, TellsTheDropFromTheOhms) {
  for (const double drop_v : {0.0, 0.35, 0.62}) {
    const auto path = ReadSupplyPath(LogOf({0, 0.1, 0.2, 0.5, 1, 0}, drop_v, 0.18), 1);
    ASSERT_TRUE(path);
    EXPECT_NEAR(path->drop_v, drop_v, 0.006);
    EXPECT_NEAR(path->ohm, 0.18, 0.012);
    EXPECT_LT(std::abs(path->drop_v - drop_v), 2 * path->drop_sigma_v);
    EXPECT_LT(std::abs(path->ohm - 0.18), 3 * path->sigma_ohm);
    EXPECT_LT(path->drop_sigma_v, 0.03);
    EXPECT_NEAR(path->drop_w() + path->ohmic_w(), drop_v + 0.18, 0.01);
    if (drop_v > 0) {
      EXPECT_GT(LogJunctionOnPath(*path), 3);
    } else {
      EXPECT_LT(LogJunctionOnPath(*path), -3);
    }
  }
}

TEST(ReadSupplyPath, AsksForVoltsAtTwoLevels) {
  EXPECT_FALSE(ReadSupplyPath(LogOf({0, 1, 0}, 0, 0.2), 1));
  EXPECT_FALSE(ReadSupplyPath(LogOf({0, 0.9, 1, 0}, 0, 0.2), 1));  // Too close for a line.
  SupplyLog silent = LogOf({0, 0.5, 1}, 0, 0.2);
  for (double& volts_v : silent.volts_v) volts_v = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(ReadSupplyPath(silent, 1));
}

// A reading that never flickers is not known better than its last digit.
TEST(ReadSupplyPath, KnowsNoMoreThanTheLastDigit) {
  const auto coarse = ReadSupplyPath(LogOf({0, 0.5, 1}, 0.04, 0.1, 0.1), 1);
  ASSERT_TRUE(coarse);
  EXPECT_GT(coarse->drop_sigma_v, 0.05);
  EXPECT_GT(LogJunctionOnPath(*coarse), -3);
  EXPECT_LT(LogJunctionOnPath(*coarse), 1);
}

// What bends is no line: the errors grow with it.
TEST(ReadSupplyPath, WidensItsErrorsWhereTheOhmsChange) {
  SupplyLog log = LogOf({0.25, 0.5, 1}, 0, 0.2);
  const double even = ReadSupplyPath(log, 1)->drop_sigma_v;
  for (std::size_t i = 60; i < log.volts_v.size(); ++i) log.volts_v[i] += 0.2;
  EXPECT_GT(ReadSupplyPath(log, 1)->drop_sigma_v, 3 * even);
  // Volts that fall as the current rises come of no path.
  for (std::size_t i = 0; i < log.volts_v.size(); ++i) log.volts_v[i] = 1 - 0.5 * log.amps_a[i];
  EXPECT_FALSE(ReadSupplyPath(log, 1));
}

TEST(MostWatts, PartsTheSupplysWatts) {
  SupplyPath path;
  path.top_amps_a = 2;
  path.drop_v = 0.4;
  path.drop_sigma_v = 0.02;
  path.ohm = 0.1;
  path.sigma_ohm = 0.01;
  EXPECT_NEAR(MostWatts(path, true), 2 * 0.44 + 4 * 0.12, 1e-9);
  EXPECT_NEAR(MostWatts(path, false), 4 * 0.12 + 2 * 0.04, 1e-9);
  path.drop_v = -0.02;  // Below zero is the supply's own error.
  EXPECT_NEAR(MostWatts(path, false), 4 * 0.12, 1e-9);
}

// A supply at its voltage limit, or a rail that still runs something: no path
// of drop and ohms, so nothing is bounded by it.
TEST(ReadSupplyPath, IsNoneWhereTheVoltsStand) {
  SupplyLog log = LogOf({0, 0.3, 0.6, 1}, 0, 0.2);
  for (double& volts_v : log.volts_v) volts_v = 5;
  EXPECT_FALSE(ReadSupplyPath(log, 1));
  // Two readings far apart are not a coarse meter.
  const auto quiet = ReadSupplyPath(LogOf({0, 0.5, 1}, 0, 0.62, 0.01), 1);
  ASSERT_TRUE(quiet);
  EXPECT_LT(quiet->drop_sigma_v, 0.03);
}

Spot SpotOf(double power_w, double log_sigma, bool junction) {
  Spot spot;
  spot.power_w = power_w;
  spot.fit.power_log_sigma = log_sigma;
  spot.course.log_junction = junction ? 5 : -5;
  return spot;
}

TEST(ShareTheDrop, GivesTheJunctionWhatTheLogSays) {
  SupplyPath path;
  path.top_amps_a = 1;
  path.drop_v = 0.35;
  path.drop_sigma_v = 0.015;
  const std::vector<double> sure = {0.9, 0.9};
  std::vector<Spot> spots = {SpotOf(0.14, 0.5, true), SpotOf(0.1, 0.5, false)};
  ShareTheDrop(path, sure, spots);
  EXPECT_NEAR(spots[0].power_w, 0.35, 0.03);
  EXPECT_LT(spots[0].fit.power_log_sigma, 0.12);
  EXPECT_EQ(spots[1].power_w, 0.1);
  EXPECT_EQ(spots[1].fit.power_log_sigma, 0.5);

  // Two junctions: their sum is known, not who has which part.
  spots = {SpotOf(0.1, 0.4, true), SpotOf(0.1, 0.4, true)};
  ShareTheDrop(path, sure, spots);
  EXPECT_NEAR(spots[0].power_w + spots[1].power_w, 0.35, 0.03);
  EXPECT_GT(spots[0].fit.power_log_sigma, 0.15);

  // A contact that looks like one has no part in it.
  spots = {SpotOf(0.14, 0.5, true), SpotOf(0.3, 0.1, true)};
  ShareTheDrop(path, std::vector{0.9, 0.01}, spots);
  EXPECT_NEAR(spots[0].power_w, 0.35, 0.03);
  EXPECT_EQ(spots[1].power_w, 0.3);

  // Heat known well that is far from the drop is of something else.
  spots = {SpotOf(0.02, 0.2, true)};
  ShareTheDrop(path, std::vector{0.9}, spots);
  EXPECT_EQ(spots[0].power_w, 0.02);

  // No drop in the log: nothing to share.
  path.drop_v = 0.01;
  spots = {SpotOf(0.14, 0.5, true)};
  ShareTheDrop(path, std::vector{0.9}, spots);
  EXPECT_EQ(spots[0].power_w, 0.14);
}

// Ohm's law, and P = U I (IEC 60050-131, no page at hand).
TEST(AddReading, SaysWhatAMeterWouldShow) {
  Candidate place;
  place.power_w = 0.04;
  place.power_low_w = 0.02;
  place.power_high_w = 0.08;
  AddReading(2, false, place);
  ASSERT_TRUE(place.resistance_ohm);
  EXPECT_NEAR(place.resistance_ohm->value, 0.01, 1e-12);
  EXPECT_NEAR(place.resistance_ohm->high, 0.02, 1e-12);
  EXPECT_FALSE(place.drop_v);
  DropReadingRemark(place);
  SayReading(place);
  EXPECT_TRUE(testing::Says(place.remarks, "about 10 mOhm (5.0 to 20)")) << place.remarks.at(0);
  // No reading comes out as a power of ten.
  place.power_w = 0.48;
  place.power_low_w = 0.12;
  place.power_high_w = 4.8;
  AddReading(2, false, place);
  DropReadingRemark(place);
  SayReading(place);
  EXPECT_TRUE(testing::Says(place.remarks, "about 120 mOhm (30 to 1200)")) << place.remarks.at(0);
  Candidate junction;
  junction.power_w = 0.35;
  AddReading(1, true, junction);
  EXPECT_NEAR(junction.drop_v->value, 0.35, 1e-12);
  SayReading(junction);
  EXPECT_TRUE(testing::Says(junction.remarks, "0.35 V"));
  Candidate none;
  SayReading(none);
  EXPECT_TRUE(none.remarks.empty());
}

TEST(BoundBySupply, CutsAtWhatThePathCanTake) {
  SupplyPath path;
  path.top_amps_a = 1;
  path.drop_v = 0.35;
  path.drop_sigma_v = 0.01;
  path.ohm = 0.1;
  Candidate place;
  place.power_w = place.power_low_w = place.power_high_w = 0.3;
  BoundBySupply(0.45, path, true, place);
  EXPECT_EQ(place.power_w, 0.3);
  EXPECT_NEAR(*place.share_of_supply, 0.3 / 0.45, 1e-12);
  EXPECT_TRUE(place.remarks.empty());
  BoundBySupply(0.45, path, false, place);
  EXPECT_NEAR(place.power_w, 0.12, 1e-12);
  EXPECT_EQ(place.remarks.size(), 1U);
}

Candidate Estimated(double power_w, double log_sigma) {
  Candidate place;
  place.power_w = power_w;
  place.power_low_w = power_w * std::exp(-1.96 * log_sigma);
  place.power_high_w = power_w * std::exp(1.96 * log_sigma);
  return place;
}

TEST(BoundBySupply, CutsTheIntervalOfWhatIsBelow) {
  Candidate place = Estimated(0.9, 0.2);
  BoundBySupply(1, {}, false, place);
  EXPECT_EQ(place.power_w, 0.9);
  EXPECT_EQ(place.power_low_w, Estimated(0.9, 0.2).power_low_w);
  EXPECT_EQ(place.power_high_w, 1);
}

// A normal cut one of its sigmas below its mean has 0.1587 left; a fortieth of that lies below
// -2.6549 (NIST/SEMATECH e-Handbook 1.3.6.7.1, table of the normal distribution).
TEST(BoundBySupply, KeepsWhatIsLeftBelowTheLimit) {
  constexpr double kSure = 1e-6;  // The distance is all its error.
  Candidate place = Estimated(1.5, kSure);
  BoundBySupply(1, {}, false, place);
  EXPECT_EQ(place.power_w, 1);
  EXPECT_EQ(place.power_high_w, 1);
  const double distance = std::log(1.5);
  EXPECT_NEAR(std::log(place.power_low_w / 1.5), -2.6549 * distance, 1e-3);
}

TEST(BoundBySupply, IsTheLessSureTheFurtherTheEstimateLiesBeyond) {
  double lowest_w = 1;
  for (const double power_w : {1.01, 1.2, 2.0, 5.0}) {
    Candidate place = Estimated(power_w, 0.2);
    BoundBySupply(1, {}, false, place);
    EXPECT_EQ(place.power_w, 1);
    EXPECT_EQ(place.remarks.size(), 1U);
    EXPECT_LT(place.power_low_w, lowest_w) << power_w;
    lowest_w = place.power_low_w;
  }
}

}  // namespace
}  // namespace ohmglow
