// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "trials/record/trial.h"

#include <gtest/gtest.h>

#include "simulate/description.h"
#include "support/temp_folder.h"

namespace ohmglow::trial {
namespace {

simulate::Description Bench() { return simulate::ReadDescription(OHMGLOW_TEST_DATA "/bench.ini"); }

// Camera, supply and board played on an injected clock: the whole way from the first rest
// to the folder that is read back.
TEST(Record, IsSoonSureOfAClearShort) {
  const testing::TempFolder folder;
  const auto set = simulate::MakeSetting(simulate::Draw(Bench(), 3));
  const Trial trial = PlayRecord(set, {.halves_s = {}, .until = 0.97}, folder.path());
  EXPECT_TRUE(trial.named);
  EXPECT_TRUE(trial.enough);
  EXPECT_LE(trial.seconds_s, 25);
  EXPECT_EQ(trial.tripped, "");
}

TEST(Record, StopsBeforeAnythingGetsHot) {
  const testing::TempFolder folder;
  simulate::Description hot = Bench();
  hot["fault.power_w"] = "5";
  const auto set = simulate::MakeSetting(simulate::Draw(hot, 3));
  TrialOptions options;
  options.max_rise_k = 1;
  const Trial trial = PlayRecord(set, options, folder.path());
  EXPECT_NE(trial.tripped.find("limit 1 K"), std::string::npos) << trial.tripped;
}

}  // namespace
}  // namespace ohmglow::trial
