// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_place.h"

#include <gtest/gtest.h>

#include <cmath>

namespace ohmglow {
namespace {

// Board coordinates at half a millimetre a pixel, and one chip on it.
struct Scene {
  Scene() {
    maps.board_from_frame = PlaneMap{cv::Matx33d(0.5, 0, 0, 0, 0.5, 0, 0, 0, 1)};
    job.mm_per_pixel = 0.5;
    job.parts = {{"C1", {20, 15}, 1, 1, BoardSide::kTop, "cap"}};
    spot.mm_per_pixel = 0.5;
    spot.peak.at_px = {41, 30};  // 0.5 mm beside the chip's middle.
    spot.shape.width_px = 6;
    spot.snr = 6;
  }
  BoardMaps maps;
  Case job;
  Spot spot;
};

TEST(PlaceSpot, DrawsAnUncertainPlaceToThePart) {
  Scene scene;
  PlaceSpot(scene.maps, scene.job, scene.spot);
  const Spot& spot = scene.spot;
  EXPECT_LT(std::abs(spot.board_mm->x - 20), 0.25);
  EXPECT_NEAR(2 * spot.board_mm->x, spot.place_px.x, 0.1);  // The map is exact here.
  EXPECT_LT(spot.place_sigma_px, SigmaPx(spot));
  EXPECT_EQ(spot.parts.parts.front().ref, "C1");
}

// Where the map is what is off, the heat is in the picture where it peaks.
TEST(PlaceSpot, LeavesThePicturesPlaceWhereTheMapIsOff) {
  Scene scene;
  scene.maps.board_error_mm = 2;
  PlaceSpot(scene.maps, scene.job, scene.spot);
  EXPECT_NEAR(scene.spot.place_px.x, 41, 0.15);
  EXPECT_LE(scene.spot.place_sigma_px, SigmaPx(scene.spot));
  EXPECT_LT(std::abs(scene.spot.board_mm->x - 20.5), 0.5);
}

// Where the map is off, nearly all of the peak's own error is left, and is stated
// as it was measured: the floors are wider than that.
TEST(PlaceSpot, StatesTheErrorNotTheCaution) {
  Scene scene;
  scene.maps.board_error_mm = 2;
  PlaceSpot(scene.maps, scene.job, scene.spot);
  EXPECT_LT(scene.spot.place_sigma_px, 0.85 * SigmaPx(scene.spot));
  EXPECT_GT(scene.spot.place_sigma_px, 0.7 * SigmaPx(scene.spot));
}

// Wide and slow heat comes from the far side: 1.2 mm off what lies under it.
TEST(PlaceSpot, KnowsLessOfThePlaceOfFarHeat) {
  Scene scene;
  scene.job.parts.clear();
  scene.spot.fit.form = {3, 0.3, 2, 0.02};
  PlaceSpot(scene.maps, scene.job, scene.spot);
  EXPECT_LT(scene.spot.place_sigma_px, 1.3 * SigmaPx(scene.spot));
  scene.spot.fit.form = {10, 2.4, 2, 0.02};
  PlaceSpot(scene.maps, scene.job, scene.spot);
  EXPECT_NEAR(scene.spot.place_sigma_px, std::hypot(SigmaPx(scene.spot), 1.2 / 0.5), 0.2);
}

// The patch that is warmer than half of faint heat is noise: the detector's size bounds it.
TEST(PlaceSpot, FaintHeatIsNoWiderThanTheDetectorsSize) {
  Scene scene;
  scene.spot.shape.width_px = 80;
  const double unbounded_px = SigmaPx(scene.spot);
  scene.spot.most_width_px = 13;
  EXPECT_LT(SigmaPx(scene.spot), 0.3 * unbounded_px);
  // Clear heat is as wide as it shows.
  scene.spot.snr = 100;
  const double clear_px = SigmaPx(scene.spot);
  scene.spot.most_width_px = 1e9;
  EXPECT_EQ(SigmaPx(scene.spot), clear_px);
}

TEST(PlaceSpot, LeavesATracksHeatWhereItIs) {
  Scene scene;
  scene.spot.fit.line.length_mm = 9;
  scene.spot.fit.line.log_over_round = 40;
  PlaceSpot(scene.maps, scene.job, scene.spot);
  EXPECT_EQ(scene.spot.place_px.x, 41);
}

TEST(PlaceSpot, LeavesAClipsHeatWhereItIs) {
  Scene scene;
  scene.spot.contact_mm = 1;
  PlaceSpot(scene.maps, scene.job, scene.spot);
  EXPECT_EQ(scene.spot.place_px.x, 41);
  EXPECT_EQ(scene.spot.board_mm->x, 20.5);
}

}  // namespace
}  // namespace ohmglow
