// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice_glare.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <functional>

#include "rank/advice.h"
#include "rank/weights.h"
#include "support/said.h"

namespace ohmglow {
namespace {

// 17 K that follow the supply, on no part of the list, not called a fault.
LocateResult PassedOver() {
  LocateResult result;
  result.noise_response_k = 0.01;
  Candidate place;
  place.confidence = 0.2;
  place.rise_k = 17;
  place.evidence = {{std::string(kFollowsSupply), 1, 0},
                    {std::string(kUnexplained), 30, 3.4},
                    {std::string(kOnPart), 0.0013, -5.9}};
  result.candidates = {place};
  return result;
}

TEST(ListPassedOver, TellsOfStrongHeatAndOfTheList) {
  const std::vector<Remark> remarks = ListPassedOver(PassedOver());
  ASSERT_EQ(remarks.size(), 1U);
  EXPECT_TRUE(testing::Says(remarks, "place 1")) << remarks[0];
  EXPECT_TRUE(testing::Says(remarks, "17 K")) << remarks[0];
  EXPECT_TRUE(testing::Says(remarks, "another board")) << remarks[0];
  LocateResult on_part = PassedOver();
  on_part.candidates[0].evidence.back().factor = 0.5;
  on_part.candidates[0].evidence[1].factor = 1;
  EXPECT_FALSE(ListPassedOver(on_part).empty());
  EXPECT_FALSE(testing::Says(ListPassedOver(on_part), "another board"));
}

TEST(ListPassedOver, IsSilentWhereThePlaceIsFaintOrKnown) {
  const std::function<void(LocateResult&)> changes[] = {
      [](LocateResult& r) { r.candidates[0].rise_k = 0.9; },
      [](LocateResult& r) { r.noise_response_k = 0.6; },
      [](LocateResult& r) { r.candidates[0].confidence = 0.7; },
      [](LocateResult& r) { r.candidates[0].contact = "PC1"; },
      [](LocateResult& r) { r.candidates[0].evidence[0].factor = 0.01; },
      [](LocateResult& r) {
        r.candidates[0].evidence.push_back({std::string(kNoCarrier), 0.02, -1});
      },
  };
  for (const auto& change : changes) {
    LocateResult result = PassedOver();
    change(result);
    EXPECT_TRUE(ListPassedOver(result).empty());
  }
}

TEST(ListPassedOver, StandsInTheAdviceOfNothingFoundAlone) {
  const auto says = [](const LocateResult& result) {
    const std::vector<Remark> advice = Advise(result);
    return std::find(advice.begin(), advice.end(), ListPassedOver(result).at(0)) != advice.end();
  };
  LocateResult result = PassedOver();
  EXPECT_TRUE(says(result));
  result.verdict = Verdict::kFound;
  EXPECT_FALSE(says(result));
}

TEST(GlaringFrom, AsksForKelvinOnlyWhereFramesAreTemperatures) {
  EXPECT_DOUBLE_EQ(GlaringFrom(0.01, FrameValues::kKelvin), 1);
  EXPECT_DOUBLE_EQ(GlaringFrom(0.1, FrameValues::kKelvin), 3);
  EXPECT_DOUBLE_EQ(GlaringFrom(0.01, FrameValues::kRelative), 0.3);
}

}  // namespace
}  // namespace ohmglow
