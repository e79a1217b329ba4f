// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "simulate/bench.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <string>

#include "simulate/description.h"

namespace ohmglow::simulate {
namespace {

Setting TinySetting() {
  return MakeSetting(Draw(ReadDescription(OHMGLOW_TEST_DATA "/tiny.ini"), 7));
}

TEST(Bench, FilmsWhatTheSameStaircaseFilms) {
  const Setting set = TinySetting();
  std::vector<Counts> wanted;
  MakeFrames(set, [&](const Counts& counts) { wanted.push_back(counts.clone()); });
  LiveCamera camera(set);
  for (const Level& level : set.drive.levels) camera.Switch(level.start_s, level.amps);
  camera.Switch(set.drive.levels.back().end_s, 0);
  for (std::size_t n = 0; n < wanted.size(); ++n) {
    EXPECT_EQ(cv::norm(camera.Take(n), wanted[n], cv::NORM_INF), 0) << "frame " << n;
  }
}

TEST(Bench, StaysColdUntilItIsCommanded) {
  const Setting set = TinySetting();
  Bench cold(set, std::nullopt, 0);
  Bench warm(set, std::nullopt, 0);
  warm.Take("VOLT 5", 1);
  warm.Take("CURR " + std::to_string(set.drive.top_amps), 1);
  warm.Take("OUTP ON", 1);
  double early = 0;
  double late = 0;
  for (std::size_t n = 0; n < warm.num_frames(); ++n) {
    const double difference = cv::norm(cold.Frame(n), warm.Frame(n), cv::NORM_INF);
    (warm.FrameTime(n) < 1 ? early : late) = difference;
  }
  EXPECT_EQ(early, 0);
  EXPECT_GT(late, 100);  // More than a kelvin.
}

// The standard words (SCPI-1999: VOLT, CURR, OUTP, MEAS, SYST:ERR; IEEE 488.2: *IDN?
// answers four fields), seen quoted.
TEST(BenchSupply, AnswersTheStandardWords) {
  BenchSupply supply(30, 5);
  supply.load.ohm = 2;
  const std::string identity = supply.Take("*IDN?\r\n");
  EXPECT_EQ(std::count(identity.begin(), identity.end(), ','), 3);
  supply.Take("VOLT 4");
  supply.Take("CURR 5.0");
  EXPECT_EQ(supply.Amps(), 0);
  supply.Take("outp on");
  EXPECT_EQ(supply.Take("OUTP?"), "1");
  EXPECT_EQ(supply.Take("MEAS:CURR?"), "2.0000");  // Limited by the volts.
  supply.Take("CURR 1");
  EXPECT_EQ(supply.Take("MEAS:VOLT?"), "2.0000");  // Limited by the amps.
  supply.Take("CURR 50");
  EXPECT_EQ(supply.Take("SYST:ERR?").substr(0, 4), "-222");
  EXPECT_EQ(supply.Take("SYST:ERR?").substr(0, 2), "0,");
  supply.Take("OUTP OFF");
  EXPECT_EQ(supply.Amps(), 0);
}

TEST(Bench, BurntThroughNoCurrentFlows) {
  const Setting set = TinySetting();
  Bench bench(set, BenchFault::kPartOpens, 2);
  bench.Take("VOLT 3", 0.5);
  bench.Take("CURR 0.5", 0.5);
  bench.Take("OUTP ON", 0.5);
  EXPECT_EQ(bench.Take("MEAS:CURR?", 1.9), "0.5000");
  EXPECT_EQ(bench.Take("MEAS:CURR?", 2.1), "0.0000");
  EXPECT_EQ(bench.Take("MEAS:VOLT?", 2.1), "3.0000");
}

TEST(Bench, EveryFaultHasOneName) {
  std::set<BenchFault> faults;
  std::set<std::string_view> names;
  for (const auto& [name, fault] : BenchFaultNames()) {
    names.insert(name);
    faults.insert(fault);
  }
  EXPECT_EQ(names.size(), BenchFaultNames().size());
  EXPECT_EQ(faults.size(), BenchFaultNames().size());
}

}  // namespace
}  // namespace ohmglow::simulate
