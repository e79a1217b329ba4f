// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "simulate/description.h"

#include <gtest/gtest.h>

#include "ohmglow/base/error.h"

namespace ohmglow::simulate {
namespace {

std::string ErrorOf(const std::string& key, const std::string& value) {
  Description d = DefaultDescription();
  d[key] = value;
  try {
    static_cast<void>(Draw(d, 1));
  } catch (const InputError& e) {
    return e.what();
  }
  return "no error";
}

TEST(Draw, TakesNumbersRangesAndProbabilities) {
  Description d = DefaultDescription();
  d["fault.power_w"] = "0.02";
  d["camera.netd_k"] = "0.03..0.05";
  d["other.hand_k"] = "0.25? 1~2";
  int hands = 0;
  for (std::uint64_t seed = 0; seed < 400; ++seed) {
    const Scenario s = Draw(d, seed);
    EXPECT_EQ(s.fault_power_w, 0.02);
    EXPECT_GE(s.netd_k, 0.03);
    EXPECT_LT(s.netd_k, 0.05);
    if (s.hand_k > 0) {
      ++hands;
      EXPECT_GE(s.hand_k, 1);
    }
  }
  EXPECT_NEAR(hands, 100, 5 * 8.7);  // Binomial, five standard deviations.
}

TEST(Draw, LeavesOtherKeysAsTheyWere) {
  Description d = DefaultDescription();
  const Scenario before = Draw(d, 7);
  d["camera.netd_k"] = "0.01..0.02";
  const Scenario after = Draw(d, 7);
  EXPECT_EQ(before.fault_power_w, after.fault_power_w);
  EXPECT_NE(before.netd_k, after.netd_k);
}

TEST(Draw, NamesTheKeyAndTheRule) {
  EXPECT_EQ(ErrorOf("camera.tilt_deg", "20"),
            "camera.tilt_deg = 20: must lie in 0 .. 10, low end first, above 0 for ~");
  EXPECT_EQ(ErrorOf("fault.power_w", "much"),
            "fault.power_w = much: write a number, low..high or low~high, e.g. 0.02..0.2");
  EXPECT_EQ(ErrorOf("motion.kind", "arm|drone"),
            "motion.kind = arm|drone: choose from tripod|arm|hand|bump");
  EXPECT_NE(ErrorOf("camera.seconds", "10").find("too short"), std::string::npos);
}

TEST(ReadDescription, NamesAMissingFile) {
  EXPECT_THROW(static_cast<void>(ReadDescription("no/such.ini")), InputError);
}

}  // namespace
}  // namespace ohmglow::simulate
