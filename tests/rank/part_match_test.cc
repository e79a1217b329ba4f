// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/part_match.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/core.hpp>
#include <tuple>
#include <utility>

namespace ohmglow {
namespace {

Part Chip(const char* ref, double x_mm, BoardSide side = BoardSide::kTop, double size_mm = 1) {
  return {ref, {x_mm, 10}, size_mm, size_mm, side, "chip"};
}

double ProbOf(const PartsThere& there, const std::string& ref) {
  for (const PartMatch& match : there.parts) {
    if (match.ref == ref) return match.prob;
  }
  return 0;
}

TEST(MatchParts, ProbabilitiesAreThoseOfOneWhole) {
  const std::vector<Part> parts = {Chip("C1", 10), Chip("C2", 11.5), Chip("C3", 12.5)};
  const PartsThere there = MatchParts(parts, {11, 10}, 1, BoardSide::kTop, 0.3);
  double sum = there.prob_none;
  for (const PartMatch& match : there.parts) sum += match.prob;
  EXPECT_EQ(there.parts.size(), 3U);
  EXPECT_NEAR(sum, 1, 1e-12);
  EXPECT_TRUE(there.parts[0].prob >= there.parts[1].prob);
  EXPECT_TRUE(there.parts[1].prob >= there.parts[2].prob);
}

TEST(MatchParts, NamesTheOneThatIsThere) {
  const std::vector<Part> parts = {Chip("C1", 10), Chip("C2", 14)};
  const PartsThere there = MatchParts(parts, {10.1, 10}, 0.3, BoardSide::kTop, 0.1);
  EXPECT_EQ(there.parts.front().ref, "C1");
  EXPECT_GT(there.parts.front().prob, 0.95);
  EXPECT_EQ(ProbOf(there, "C2"), 0);  // Below two in a hundred: not listed.
}

TEST(MatchParts, LeavesATieATieInTheListsOrder) {
  const std::vector<Part> parts = {Chip("C1", 9), Chip("C2", 11)};
  const PartsThere there = MatchParts(parts, {10, 10}, 0.5, BoardSide::kTop, 0.1);
  ASSERT_EQ(there.parts.size(), 2U);
  EXPECT_DOUBLE_EQ(there.parts[0].prob, there.parts[1].prob);
  EXPECT_EQ(there.parts[0].ref, "C1");
}

TEST(MatchParts, WeighsTheSides) {
  const std::vector<Part> parts = {Chip("C1", 10), Chip("C2", 10, BoardSide::kBottom)};
  const PartsThere near = MatchParts(parts, {10, 10}, 1, BoardSide::kTop, 0.05);
  EXPECT_EQ(near.parts.front().ref, "C1");
  EXPECT_EQ(near.parts.front().side, HeatSide::kNear);
  EXPECT_GT(near.prob_this_side, 0.9);
  const PartsThere far = MatchParts(parts, {10, 10}, 1, BoardSide::kTop, 0.95);
  EXPECT_EQ(far.parts.front().ref, "C2");
  EXPECT_EQ(far.parts.front().side, HeatSide::kFar);
  EXPECT_LT(far.prob_this_side, 0.2);
  // Seen from the bottom the same numbers mean the other parts.
  EXPECT_EQ(MatchParts(parts, {10, 10}, 1, BoardSide::kBottom, 0.05).parts.front().ref, "C2");
}

// The mean of two Gaussians' product, weighed by their precisions, and the mean
// over several of them, weighed by how well they meet (any textbook of
// statistics; from memory): a chip of 1 mm is hot in its middle, 0.15 mm wide, or
// in one of four at either end, 0.33 mm off and 0.1 mm wide.
TEST(MatchParts, DrawsThePlaceToWhatSitsThere) {
  const std::vector<Part> parts = {Chip("C1", 10)};
  const PartsThere there = MatchParts(parts, {10.6, 10}, 0.4, BoardSide::kTop, 0.05);
  double norm = 0;
  double sum = 0;
  for (const auto& [prob, mm, spread_mm] :
       {std::tuple{0.25, 9.67, 0.1}, {0.5, 10.0, 0.15}, {0.25, 10.33, 0.1}}) {
    const double variance = 0.16 + spread_mm * spread_mm;
    const double off_mm = 10.6 - mm;
    const double weight = prob * std::exp(-0.5 * off_mm * off_mm / variance) / std::sqrt(variance);
    norm += weight;
    sum += weight * (0.16 * mm + spread_mm * spread_mm * 10.6) / variance;
  }
  EXPECT_NEAR(there.place_mm.x, sum / norm, 0.015);  // A little is left for no listed part.
  EXPECT_NEAR(there.place_mm.y, 10, 1e-9);
  EXPECT_LT(there.place_sigma_mm, 0.25);

  // What is known well stays where it was measured; so does what lies on no part.
  EXPECT_NEAR(MatchParts(parts, {10.3, 10}, 0.02, BoardSide::kTop, 0.05).place_mm.x, 10.3, 0.01);
  const PartsThere lost = MatchParts(parts, {20, 10}, 0.4, BoardSide::kTop, 0.05);
  EXPECT_NEAR(lost.place_mm.x, 20, 1e-6);
  EXPECT_GE(lost.place_sigma_mm, 0.4);

  // A row without a size is a point.
  const PartsThere point =
      MatchParts({Chip("C1", 10, BoardSide::kTop, 0)}, {10.2, 10}, 0.2, BoardSide::kTop, 0.05);
  EXPECT_NEAR(point.place_mm.x, 10, 0.02);

  // Between two the place is open: the middle, with an error that holds both.
  const std::vector<Part> pair = {Chip("C1", 9), Chip("C2", 11)};
  const PartsThere open = MatchParts(pair, {10, 10}, 0.8, BoardSide::kTop, 0.05);
  EXPECT_NEAR(open.place_mm.x, 10, 1e-9);
  EXPECT_GT(open.place_sigma_mm, 0.5);
}

// A cracked chip is hot at one end: what is seen there stays there.
TEST(MatchParts, LeavesAChipsHeatAtItsEnd) {
  for (const bool along_x : {true, false}) {
    Part chip = {"C1", {10, 10}, 3, 1.5, BoardSide::kTop, "cap"};
    if (!along_x) std::swap(chip.width_mm, chip.height_mm);
    const Point at = along_x ? Point(11, 10) : Point(10, 11);
    const Point place = MatchParts({chip}, at, 0.3, BoardSide::kTop, 0.05).place_mm;
    EXPECT_LT(cv::norm(place - at), 0.1);  // One Gaussian of 0.22 draws it by 0.17.
    // Beside its middle it is drawn across, to the body.
    const Point beside = along_x ? Point(10, 10.8) : Point(10.8, 10);
    const Point drawn = MatchParts({chip}, beside, 0.3, BoardSide::kTop, 0.05).place_mm;
    EXPECT_LT(cv::norm(drawn - Point(10, 10)), 0.5);
  }
}

// A bridge of two pins is the circuit's, not the neighbour's.
TEST(MatchParts, LetsACircuitBeHotAtItsPins) {
  const std::vector<Part> parts = {{"U1", {10, 10}, 10, 10, BoardSide::kTop, "ic"},
                                   Chip("C1", 16.5)};
  const PartsThere there = MatchParts(parts, {14.4, 10}, 0.4, BoardSide::kTop, 0.05);
  EXPECT_EQ(there.parts.front().ref, "U1");
  EXPECT_GT(there.parts.front().prob, 0.4);  // The die alone: 0.24.
  EXPECT_NEAR(there.place_mm.x, 14.4, 0.1);
}

// A small package shows its heat in its middle wherever on the die it is made:
// what is seen says little, the die's own width (0.14 of 3 mm) is left.
TEST(MatchParts, KnowsThatASmallPackageEvensOutItsHeat) {
  const std::vector<Part> small = {{"U1", {10, 10}, 3, 3, BoardSide::kTop, "ic"}};
  const PartsThere there = MatchParts(small, {10, 10}, 0.15, BoardSide::kTop, 0.05);
  EXPECT_GT(there.place_sigma_mm, 0.25);
  const std::vector<Part> large = {{"U1", {10, 10}, 12, 12, BoardSide::kTop, "ic"}};
  EXPECT_LT(MatchParts(large, {10, 10}, 0.15, BoardSide::kTop, 0.05).place_sigma_mm, 0.2);
  // It is made farther off than it shows, if it shows off the middle at all.
  const std::vector<Part> middling = {{"U1", {10, 10}, 7, 7, BoardSide::kTop, "ic"}};
  EXPECT_GT(MatchParts(middling, {11, 10}, 0.15, BoardSide::kTop, 0.05).place_mm.x, 11.1);
}

// Heat of the far side comes out where the copper lets it: 1.2 mm off (FarShiftMm).
TEST(MatchParts, KnowsLessOfThePlaceOfFarHeat) {
  const PartsThere near = MatchParts({}, {10, 10}, 0.4, BoardSide::kTop, 0);
  EXPECT_NEAR(near.place_sigma_mm, 0.4, 1e-9);
  const PartsThere far = MatchParts({}, {10, 10}, 0.4, BoardSide::kTop, 1);
  EXPECT_NEAR(far.place_sigma_mm, std::hypot(0.4, 1.2), 1e-9);
}

// Of finite-element boards heat of the far side came out up to 4 mm off.
TEST(MatchParts, LetsFarHeatComeOutAside) {
  const std::vector<Part> parts = {Chip("C5", 10, BoardSide::kBottom)};
  EXPECT_GT(ProbOf(MatchParts(parts, {14, 10}, 0.4, BoardSide::kTop, 0.9), "C5"), 0.1);
  EXPECT_EQ(ProbOf(MatchParts(parts, {22, 10}, 0.4, BoardSide::kTop, 0.9), "C5"), 0);
  const std::vector<Part> near = {Chip("C5", 10)};
  EXPECT_EQ(ProbOf(MatchParts(near, {14, 10}, 0.4, BoardSide::kTop, 0.1), "C5"), 0);
}

// Only the far side has a part there: that alone speaks for it.
TEST(MatchParts, LetsTheListSpeakForASide) {
  const std::vector<Part> parts = {Chip("C7", 10, BoardSide::kBottom)};
  EXPECT_LT(MatchParts(parts, {10, 10}, 0.5, BoardSide::kTop, 0.5).prob_this_side, 0.3);
}

TEST(MatchParts, SaysWhenNoListedPartIsThere) {
  const std::vector<Part> parts = {Chip("C1", 10)};
  const PartsThere lost = MatchParts(parts, {60, 40}, 0.5, BoardSide::kTop, 0.3);
  EXPECT_TRUE(lost.parts.empty());
  EXPECT_NEAR(lost.prob_none, 1, 1e-9);
  const PartsThere none = MatchParts({}, {60, 40}, 0.5, BoardSide::kTop, 0.3);
  EXPECT_DOUBLE_EQ(none.prob_none, 1);
  EXPECT_DOUBLE_EQ(none.prob_this_side, 0.7);
}

// A list that names no part there says nothing of the side: what the heat
// itself says of it stands.
TEST(MatchParts, KeepsTheSideWhereNoPartIsListed) {
  const std::vector<Part> parts = {Chip("C1", 10)};
  for (const double far_prob : {0.05, 0.5, 0.95}) {
    EXPECT_NEAR(MatchParts(parts, {60, 40}, 0.5, BoardSide::kTop, far_prob).prob_this_side,
                1 - far_prob,
                1e-9);
  }
}

TEST(MatchParts, LetsALargePartBeHotOffItsMiddle) {
  const std::vector<Part> parts = {Chip("U1", 10, BoardSide::kTop, 12), Chip("C1", 20)};
  EXPECT_EQ(MatchParts(parts, {14, 10}, 0.3, BoardSide::kTop, 0.1).parts.front().ref, "U1");
}

// Where both sides have a part, width and quickness of the heat decide: a chip
// shows narrow and quick, through the board all is wide and slow.
TEST(MatchParts, LetsTheFormOfTheHeatTellTheSide) {
  const std::vector<Part> parts = {Chip("C1", 10), Chip("C2", 10, BoardSide::kBottom)};
  const HeatForm quick = {3, 0.3, 2, 0.02};
  const PartsThere near = MatchParts(parts, {10, 10}, 0.3, BoardSide::kTop, 0.35, quick);
  EXPECT_EQ(near.parts.front().ref, "C1");
  EXPECT_GT(near.prob_this_side, 0.97);
  const HeatForm slow = {10, 2.4, 2, 0.02};
  const PartsThere far = MatchParts(parts, {10, 10}, 0.3, BoardSide::kTop, 0.35, slow);
  EXPECT_EQ(far.parts.front().ref, "C2");
  EXPECT_LT(far.prob_this_side, 0.05);
  // A slow place where a body of that size sits is the body's own top.
  const std::vector<Part> bodies = {{"U1", {10, 10}, 5, 5, BoardSide::kTop, "ic"},
                                    Chip("C2", 10, BoardSide::kBottom)};
  const HeatForm moulded = {5.6, 1.8, 2, 0.02};
  EXPECT_EQ(MatchParts(bodies, {10, 10}, 0.3, BoardSide::kTop, 0.35, moulded).parts.front().ref,
            "U1");
}

// The form names the right one of two unlike neighbours on one side as well.
TEST(MatchParts, LetsTheFormNameTheKind) {
  const std::vector<Part> parts = {Chip("C1", 10), {"U1", {13.5, 10}, 5, 5, BoardSide::kTop, "ic"}};
  const HeatForm quick = {3, 0.3, 2, 0.02};
  const HeatForm moulded = {5.8, 1.8, 2, 0.02};
  const Point between(11.5, 10);
  EXPECT_EQ(MatchParts(parts, between, 0.7, BoardSide::kTop, 0.3, quick).parts.front().ref, "C1");
  EXPECT_EQ(MatchParts(parts, between, 0.7, BoardSide::kTop, 0.3, moulded).parts.front().ref, "U1");
}

TEST(MatchParts, ListsFourAtMost) {
  std::vector<Part> parts;
  for (int i = 0; i < 7; ++i) parts.push_back(Chip("C", 10 + 0.1 * i));
  EXPECT_EQ(MatchParts(parts, {10.3, 10}, 1, BoardSide::kTop, 0.3).parts.size(), 4U);
}

}  // namespace
}  // namespace ohmglow
