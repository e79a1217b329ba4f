// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/board_place.h"

#include <gtest/gtest.h>

namespace ohmglow {
namespace {

// 0.5 mm a pixel, from the side whose x runs along (sign 1) or against the board's.
LocateResult Film(double sign, const std::vector<Point>& places_mm) {
  LocateResult result;
  result.maps.board_from_frame =
      PlaneMap{{0.5 * sign, 0, sign > 0 ? 0.0 : 60.0, 0, 0.5, 0, 0, 0, 1}};
  result.maps.board_error_mm = 0.1;
  for (const Point place : places_mm) {
    Candidate candidate;
    candidate.frame_px = result.maps.board_from_frame->Inverse().Apply(place);
    candidate.sigma_px = 0.4;
    candidate.width_mm = 4;
    result.candidates.push_back(candidate);
  }
  return result;
}

TEST(PlaceOf, AddsTheErrorsOfFrameAndMap) {
  const LocateResult result = Film(-1, {{20, 15}});
  const BoardPlace place = PlaceOf(result, result.candidates[0]);
  EXPECT_NEAR(place.at_mm.x, 20, 1e-9);
  EXPECT_NEAR(place.at_mm.y, 15, 1e-9);
  // (0.4 px x 0.5 mm)^2 + (0.1 mm)^2
  EXPECT_NEAR(place.covariance_mm2(0, 0), 0.05, 1e-12);
  EXPECT_NEAR(place.covariance_mm2(1, 1), 0.05, 1e-12);
  EXPECT_NEAR(place.covariance_mm2(0, 1), 0, 1e-12);
}

TEST(JoinPlaces, WeighsByTheInverseCovariances) {
  const BoardPlace a{{10, 0}, {1, 0, 0, 4}};
  const BoardPlace b{{14, 5}, {3, 0, 0, 1}};
  const BoardPlace joined = JoinPlaces(a, b);
  EXPECT_NEAR(joined.at_mm.x, 11, 1e-12);  // 3 : 1
  EXPECT_NEAR(joined.at_mm.y, 4, 1e-12);   // 1 : 4
  EXPECT_NEAR(joined.covariance_mm2(0, 0), 0.75, 1e-12);
  EXPECT_NEAR(joined.covariance_mm2(1, 1), 0.8, 1e-12);
  EXPECT_NEAR(DistanceSquared(a, b), 16.0 / 4 + 25.0 / 5, 1e-12);
}

TEST(PairPlaces, PairsTheClosestAndLeavesTheRestAlone) {
  const LocateResult seen = Film(1, {{20, 15}, {40, 30}, {21, 16}});
  const LocateResult other = Film(-1, {{40.5, 29.5}, {5, 5}, {20.2, 15.1}});
  const std::vector<PlacePair> pairs = PairPlaces(seen, other, 3);
  ASSERT_EQ(pairs.size(), 4U);
  EXPECT_EQ(pairs[0].seen, 0U);
  EXPECT_EQ(pairs[0].other, 2U);
  EXPECT_EQ(pairs[1].seen, 1U);
  EXPECT_EQ(pairs[1].other, 0U);
  EXPECT_EQ(pairs[2].seen, 2U);  // Its neighbour was closer.
  EXPECT_FALSE(pairs[2].other);
  EXPECT_FALSE(pairs[3].seen);
  EXPECT_EQ(pairs[3].other, 1U);
}

// What is seen wide may have come out farther from its source.
TEST(PairPlaces, AllowsForTheWanderOfWideHeat) {
  const LocateResult seen = Film(1, {{20, 15}});
  LocateResult other = Film(-1, {{24, 15}});
  EXPECT_EQ(PairPlaces(seen, other, 3).size(), 2U);
  other.candidates[0].width_mm = 12;
  EXPECT_EQ(PairPlaces(seen, other, 3).size(), 1U);
}

}  // namespace
}  // namespace ohmglow
