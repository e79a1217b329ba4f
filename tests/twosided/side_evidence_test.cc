// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/side_evidence.h"

#include <gtest/gtest.h>

#include <cmath>

namespace ohmglow {
namespace {

PlaceView View(double rise_k, double width_mm, double quickness) {
  PlaceView view;
  view.rise_k = rise_k;
  view.rise_sigma_k = 0.004;
  view.width_mm = width_mm;
  view.quickness = quickness;
  return view;
}

PlaceView Nothing() {
  PlaceView view;
  view.rise_k = 0.001;
  view.rise_sigma_k = 0.004;
  return view;
}

const PartsOfSide kChip{0.95, 0, 0.05, 20};
const PartsOfSide kCircuit{0, 0.95, 0.05, 20};
const PartsOfSide kBare{0, 0, 1, 1};

TEST(WeighSides, PutsAStrongNarrowQuickSpotOnItsOwnSide) {
  // 2.1 K, 1.8 mm against 0.1 K, 8 mm: what finite elements show of a chip.
  const SideEvidence evidence = WeighSides(View(2.1, 1.8, 0.7), kBare, View(0.1, 8, 0.3), kBare);
  EXPECT_GT(evidence.log_odds, 4);
  EXPECT_GT(evidence.fit_prob, 0.1);
}

TEST(WeighSides, IsTheSameFromEitherEnd) {
  const PlaceView a = View(1.0, 3, 0.55);
  const PlaceView b = View(0.3, 5, 0.35);
  const double there = WeighSides(a, kChip, b, kCircuit).log_odds;
  const double back = WeighSides(b, kCircuit, a, kChip).log_odds;
  EXPECT_NEAR(there, -back, 1e-12);
}

// Through its mould a circuit shows hardly stronger than through the board.
TEST(WeighSides, SaysLessOfABody) {
  const PlaceView a = View(1.0, 7, 0.4);
  const PlaceView b = View(0.35, 8, 0.33);
  PartsOfSide circuit = kCircuit;
  PartsOfSide bare = kBare;
  circuit.density = bare.density = 1;
  const double body = WeighSides(a, circuit, b, bare).log_odds;
  EXPECT_GT(body, 0);
  EXPECT_LT(body, WeighSides(View(1.0, 2, 0.7), kBare, View(0.05, 8, 0.3), kBare).log_odds);
}

TEST(WeighSides, LetsThePartsSpeakWhereTheHeatDoesNot) {
  const PlaceView alike = View(0.5, 5, 0.4);
  EXPECT_GT(WeighSides(alike, kCircuit, alike, kBare).log_odds, 1);
  EXPECT_LT(WeighSides(alike, kBare, alike, kCircuit).log_odds, -1);
}

TEST(WeighSides, TakesNothingSeenAsABound) {
  // 0.5 K against less than 0.009 K: near, though nothing is measured there.
  EXPECT_GT(WeighSides(View(0.5, 2, 0.6), kBare, Nothing(), kBare).log_odds, 2);
  // Against less than 0.9 K it says nothing.
  PlaceView noisy = Nothing();
  noisy.rise_sigma_k = 0.45;
  EXPECT_LT(std::abs(WeighSides(View(0.012, 2, 0.6), kBare, noisy, kBare).log_odds), 0.2);
}

TEST(WeighSides, KnowsNothingOfWhatWasNotFilmed) {
  PlaceView out;
  out.filmed = false;
  const SideEvidence evidence = WeighSides(View(2, 2, 0.7), kBare, out, kBare);
  EXPECT_EQ(evidence.log_odds, 0);
  EXPECT_EQ(evidence.fit_prob, 1);
}

TEST(WeighSides, DoubtsHeatThatTheOtherSideShouldShow) {
  // 20 K on one side and under 9 mK on the other: no heat of a board does that.
  const SideEvidence evidence = WeighSides(View(20, 6, 0.5), kCircuit, Nothing(), kBare);
  EXPECT_LT(evidence.fit_prob, 0.01);
  EXPECT_TRUE(evidence.missing);
}

TEST(WeighSides, TellsWhenTheCapturesAloneContradict) {
  PlaceView a = View(1.0, 3, 0.55);
  PlaceView b = View(0.3, 5, 0.35);
  a.alone = b.alone = HeatSide::kNear;
  EXPECT_TRUE(WeighSides(a, kBare, b, kBare).both_claim_it);
  a.alone = b.alone = HeatSide::kFar;
  EXPECT_TRUE(WeighSides(a, kBare, b, kBare).none_claims_it);
  a.alone = HeatSide::kNear;
  EXPECT_FALSE(WeighSides(a, kBare, b, kBare).both_claim_it);
  EXPECT_FALSE(WeighSides(a, kBare, b, kBare).none_claims_it);
}

TEST(QuicknessOf, IsTheShareOfTheFirstSecond) {
  Candidate candidate;
  for (int i = 0; i <= 60; ++i) {
    GrowthPoint point;
    point.time_s = 0.5 * i;
    point.fit_k = point.time_s < 20 ? 1.0 : 1.0 + 1 - std::exp(-(point.time_s - 20) / 2);
    candidate.growth.push_back(point);
  }
  const std::vector<SupplyLevel> levels = {{0, 10, 0, 0}, {10, 20, 1, 0}, {20, 30, 2, 0}};
  const double share = (1 - std::exp(-0.5)) / (1 - std::exp(-2.5));
  EXPECT_NEAR(QuicknessOf(candidate, levels).value(), share, 0.01);
  EXPECT_FALSE(QuicknessOf(candidate, {{0, 10, 0, 0}, {10, 12, 1, 0}}));
  EXPECT_FALSE(QuicknessOf(Candidate{}, levels));
}

TEST(PartsAt, TellsChipsFromBodies) {
  const std::vector<Part> parts = {
      {"C1", {10, 10}, 1, 0.5, BoardSide::kTop, "cap"},
      {"U1", {30, 10}, 5, 5, BoardSide::kTop, "ic"},
      {"U2", {10, 10}, 5, 5, BoardSide::kBottom, ""},
  };
  const PartsOfSide chip = PartsAt(parts, BoardSide::kTop, {10, 10}, 0.3);
  EXPECT_GT(chip.small, 0.9);
  EXPECT_EQ(chip.moulded, 0);
  EXPECT_GT(chip.density, 20);
  EXPECT_GT(PartsAt(parts, BoardSide::kTop, {30, 10}, 0.3).moulded, 0.9);
  EXPECT_GT(PartsAt(parts, BoardSide::kBottom, {10, 10}, 0.3).moulded, 0.9);
  const PartsOfSide bare = PartsAt(parts, BoardSide::kTop, {45, 30}, 0.3);
  EXPECT_GT(bare.unlisted, 0.99);
  EXPECT_NEAR(bare.density, 1, 0.01);
}

}  // namespace
}  // namespace ohmglow
