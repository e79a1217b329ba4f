// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice_glare.h"

#include <gtest/gtest.h>

#include <functional>

#include "rank/advice.h"
#include "rank/weights.h"

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

TEST(SayPassedOver, TellsOfStrongHeatAndOfTheList) {
  const std::string text = SayPassedOver(PassedOver());
  EXPECT_NE(text.find("place 1"), std::string::npos) << text;
  EXPECT_NE(text.find("17 K"), std::string::npos) << text;
  EXPECT_NE(text.find("another board"), std::string::npos) << text;
  LocateResult on_part = PassedOver();
  on_part.candidates[0].evidence.back().factor = 0.5;
  on_part.candidates[0].evidence[1].factor = 1;
  EXPECT_FALSE(SayPassedOver(on_part).empty());
  EXPECT_EQ(SayPassedOver(on_part).find("another board"), std::string::npos);
}

TEST(SayPassedOver, IsSilentWhereThePlaceIsFaintOrKnown) {
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
    EXPECT_EQ(SayPassedOver(result), "");
  }
}

TEST(SayPassedOver, StandsInTheAdviceOfNothingFoundAlone) {
  const auto says = [](const LocateResult& result) {
    for (const std::string& line : Advise(result)) {
      if (line == SayPassedOver(result)) return true;
    }
    return false;
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
