// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/board_maps.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "ohmglow/base/error.h"
#include "support/said.h"

namespace ohmglow {
namespace {

// A camera that looks at the board from a slant.
PlaneMap Slant() { return PlaneMap{{4.1, 0.2, 30, -0.15, 4.3, 12, 3e-4, -2e-4, 1}}; }

std::vector<Landmark> Landmarks(int count) {
  const Point places[] = {
      {20, 15}, {140, 18}, {135, 100}, {22, 104}, {60, 85}, {60, 30}, {110, 80}};
  std::vector<Landmark> rows;
  for (int i = 0; i < count; ++i) {
    const Point p = places[i];
    rows.push_back({p, Slant().Apply(p), Point(0.4 * p.x + 1, 0.4 * p.y - 2)});
  }
  return rows;
}

TEST(FitBoardMaps, GivesNoMapForFewerThanThreeLandmarks) {
  const BoardMaps maps = FitBoardMaps(Landmarks(2));
  EXPECT_FALSE(maps.photo_from_frame);
  EXPECT_FALSE(maps.board_from_frame);
}

TEST(FitBoardMaps, IsAffineAndExactForThree) {
  const auto rows = Landmarks(3);
  const BoardMaps maps = FitBoardMaps(rows);
  ASSERT_TRUE(maps.photo_from_frame);
  EXPECT_EQ(maps.photo_from_frame->matrix(2, 0), 0);
  EXPECT_EQ(maps.photo_from_frame->matrix(2, 1), 0);
  for (const Landmark& l : rows) {
    EXPECT_NEAR(cv::norm(maps.photo_from_frame->Apply(l.frame_px) - l.photo_px), 0, 1e-9);
  }
  EXPECT_NEAR(maps.board_error_mm, 0.5 * 0.4 * std::sqrt(6.0 / 3), 1e-9);
}

TEST(FitBoardMaps, RecoversAPerspectiveView) {
  for (const int count : {4, 5, 6, 7}) {
    const BoardMaps maps = FitBoardMaps(Landmarks(count));
    ASSERT_TRUE(maps.photo_from_frame);
    const Point elsewhere(97, 41);
    EXPECT_NEAR(
        cv::norm(maps.photo_from_frame->Apply(elsewhere) - Slant().Apply(elsewhere)), 0, 1e-7)
        << count;
    // Four fit exactly: that nothing checks them is said.
    EXPECT_EQ(maps.remarks.size(), count == 4 ? 1U : 0U) << count;
  }
}

TEST(FitBoardMaps, SaysThatTwoLandmarksAreTooFew) {
  const BoardMaps maps = FitBoardMaps(Landmarks(2));
  EXPECT_FALSE(maps.photo_from_frame);
  ASSERT_EQ(maps.remarks.size(), 1U);
  EXPECT_TRUE(testing::Says(maps.remarks[0], "Only 2 landmarks"));
}

TEST(FitBoardMaps, NamesAndLeavesOutAWrongLandmark) {
  for (const int count : {5, 6, 7}) {
    auto rows = Landmarks(count);
    rows[3].photo_px += Point(90, -70);
    const BoardMaps maps = FitBoardMaps(rows);
    ASSERT_EQ(maps.remarks.size(), 1U) << count;
    EXPECT_TRUE(testing::Says(maps.remarks[0], "row 5 ")) << maps.remarks[0];
    const Point elsewhere(97, 41);
    EXPECT_LT(cv::norm(maps.photo_from_frame->Apply(elsewhere) - Slant().Apply(elsewhere)), 1e-6);
  }
}

TEST(FitBoardMaps, KeepsLandmarksThatAreOnlyInexact) {
  std::mt19937 random(7);
  std::normal_distribution<double> error(0, 2.0);  // Half a frame pixel in the photo.
  int dropped = 0;
  for (int trial = 0; trial < 100; ++trial) {
    auto rows = Landmarks(7);
    for (Landmark& l : rows) l.photo_px += Point(error(random), error(random));
    dropped += static_cast<int>(FitBoardMaps(rows).remarks.size());
  }
  EXPECT_LE(dropped, 10);
}

TEST(FitBoardMaps, EstimatesTheBoardErrorFromTheScatter) {
  std::mt19937 random(11);
  std::normal_distribution<double> error(0, 0.2);
  double stated = 0, seen = 0;
  constexpr int kTrials = 400;
  for (int trial = 0; trial < kTrials; ++trial) {
    auto rows = Landmarks(7);
    for (Landmark& l : rows) *l.board_mm += Point(error(random), error(random));
    const BoardMaps maps = FitBoardMaps(rows);
    stated += maps.board_error_mm * maps.board_error_mm / kTrials;
    for (const Landmark& l : Landmarks(7)) {
      const Point e = maps.board_from_frame->Apply(l.frame_px) - *l.board_mm;
      seen += e.dot(e) / (7.0 * kTrials);
    }
  }
  EXPECT_NEAR(std::sqrt(stated / seen), 1, 0.1);
}

TEST(FitBoardMaps, RefusesLandmarksWhoseColumnsAreExchanged) {
  auto rows = Landmarks(6);
  for (Landmark& row : rows) std::swap(row.frame_px.x, row.frame_px.y);
  try {
    (void)FitBoardMaps(rows);
    FAIL() << "no error";
  } catch (const DataError& e) {
    EXPECT_NE(std::string(e.what()).find("mirror image"), std::string::npos) << e.what();
  }
}

TEST(FitBoardMaps, RefusesLandmarksOnALine) {
  auto rows = Landmarks(4);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    rows[i].frame_px = Point(10.0 + 20.0 * static_cast<double>(i), 30.0);
  }
  try {
    (void)FitBoardMaps(rows);
    FAIL() << "no error";
  } catch (const DataError& e) {
    EXPECT_NE(std::string(e.what()).find("lie on a line"), std::string::npos) << e.what();
  }
}

}  // namespace
}  // namespace ohmglow
