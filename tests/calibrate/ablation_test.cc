// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "calibrate/ablation.h"

#include <gtest/gtest.h>

#include <random>
#include <string>
#include <vector>

#include "calibrate/fit.h"

namespace ohmglow::calibrate {
namespace {

Place MakePlace(double detection, double steps, bool is_fault) {
  Place place;
  place.values.assign(EvidenceNames().size(), 0);
  place.values[0] = 1;
  place.values[1] = detection;
  place.values[2] = steps;
  place.is_fault = is_fault;
  return place;
}

TEST(Decide, CountsWhatALookWouldDo) {
  std::vector<Capture> captures(4);
  captures[0] = {"first", {MakePlace(0, 0, true), MakePlace(0, 0, false)}, 1};
  captures[1] = {"doubt", {MakePlace(0, 0, false), MakePlace(0, 0, true)}, 1};
  captures[2] = {"alarm", {MakePlace(0, 0, false)}, 0};
  captures[3] = {"nothing", {}, 1};
  const Decisions d = Decide(captures, {{0.8, 0.1}, {0.3, 0.45}, {0.6}, {}});
  EXPECT_EQ(d.faulty, 3);
  EXPECT_EQ(d.first, 2);
  EXPECT_EQ(d.found, 1);
  EXPECT_EQ(d.empty, 1);
  EXPECT_EQ(d.false_alarms, 1);
  EXPECT_NEAR(d.brier, (0.04 + 0.3025 + 0.36) / 3, 1e-12);
}

// The steps alone tell faults here: without them the score falls most, and what
// says nothing is not missed.
TEST(AblationTable, PutsTheWorstLossFirst) {
  std::mt19937 random(3);
  std::normal_distribution<double> noise(0, 1);
  std::vector<Capture> captures;
  for (int i = 0; i < 200; ++i) {
    const bool fault = i % 2 == 0;
    captures.push_back(
        {"c", {MakePlace(noise(random), (fault ? 2 : -2) + noise(random), fault)}, fault ? 1 : 0});
  }
  const std::string table = AblationTable(captures, captures);
  const std::size_t all = table.find("| nothing: all evidence | ");
  const std::size_t steps = table.find("| follows the steps of the supply | ");
  ASSERT_NE(all, std::string::npos);
  ASSERT_NE(steps, std::string::npos);
  EXPECT_LT(all, steps);
  // The first row after that of all evidence.
  EXPECT_EQ(table.find('\n', all) + 1, steps);
}

}  // namespace
}  // namespace ohmglow::calibrate
