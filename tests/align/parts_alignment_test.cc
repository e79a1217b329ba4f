// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/parts_alignment.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <random>
#include <string>
#include <vector>

#include "align/parts_picture.h"
#include "ohmglow/align/photo_alignment.h"
#include "ohmglow/base/error.h"
#include "support/said.h"

namespace ohmglow {
namespace {

const cv::Size kFrame(200, 150);
const cv::Size kPhoto(900, 720);

// A list of a board of 60 mm x 50 mm: six large bodies, the others chips.
std::vector<Part> RandomList(unsigned seed, int bodies = 40) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> share(0, 1);
  std::vector<Part> parts;
  for (int n = 0; n < bodies; ++n) {
    const double size = n < 6 ? 6 : 1.5;
    Part part;
    part.ref = "P" + std::to_string(n);
    part.center_mm = {3 + 54 * share(random), 3 + 44 * share(random)};
    part.width_mm = size * (0.7 + share(random));
    part.height_mm = size * (0.5 + share(random));
    parts.push_back(part);
  }
  return parts;
}

void Fill(cv::Mat& picture, const cv::Matx33d& from_board, const cv::Rect2d& box, double value) {
  constexpr int kShift = 4;
  std::vector<cv::Point> corners;
  const PlaneMap map{from_board};
  for (const Point p : {box.tl(), Point(box.br().x, box.y), box.br(), Point(box.x, box.br().y)}) {
    corners.emplace_back(map.Apply(p) * double(1 << kShift));
  }
  cv::fillConvexPoly(picture, corners, cv::Scalar::all(value), cv::LINE_AA, kShift);
}

// Bodies of all shades, with tracks and prints that are in no list.
cv::Mat Drawn(const std::vector<Part>& parts, const cv::Matx33d& from_board, cv::Size size) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> share(0, 1);
  cv::Mat picture(size, CV_8UC1, cv::Scalar(125));
  Fill(picture, from_board, {0, 0, 60, 50}, 80);
  for (int n = 0; n < 25; ++n) {
    const bool flat = n % 2 == 0;
    const double length = 4 + 12 * share(random);
    Fill(picture,
         from_board,
         {55 * share(random), 46 * share(random), flat ? length : 0.5, flat ? 0.5 : length},
         100);
  }
  for (const Part& p : parts) {
    const double value = share(random) < 0.5 ? 20 + 40 * share(random) : 110 + 120 * share(random);
    Fill(picture,
         from_board,
         {p.center_mm.x - p.width_mm / 2, p.center_mm.y - p.height_mm / 2, p.width_mm, p.height_mm},
         value);
  }
  cv::GaussianBlur(picture, picture, {0, 0}, 1);
  return picture;
}

cv::Matx33d PhotoFromBoard(double tilt_deg, double turn_deg, double px_per_mm) {
  const double t = tilt_deg * CV_PI / 180;
  const double a = turn_deg * CV_PI / 180;
  const double distance = 90;
  const cv::Matx33d to_middle(1, 0, -30, 0, 1, -25, 0, 0, 1);
  const cv::Matx33d turn(std::cos(a), -std::sin(a), 0, std::sin(a), std::cos(a), 0, 0, 0, 1);
  const cv::Matx33d tilt(std::cos(t), 0, 0, 0, 1, 0, std::sin(t), 0, distance);
  const double focal = px_per_mm * distance;
  const cv::Matx33d lens(focal, 0, kPhoto.width / 2.0, 0, focal, kPhoto.height / 2.0, 0, 0, 1);
  return lens * tilt * turn * to_middle;
}

// About 2.8 pixels a millimetre.
cv::Matx33d FrameFromBoard() { return {2.8, 0.1, 9, -0.1, 2.8, 6, 0, 0, 1}; }

StaticView Thermal(const std::vector<Part>& parts, const cv::Matx33d& frame_from_board) {
  Image picture;
  Drawn(parts, frame_from_board, kFrame).convertTo(picture, CV_32F, 0.01, 295);
  cv::Mat noise(kFrame, CV_32F);
  cv::RNG generator(4);
  generator.fill(noise, cv::RNG::NORMAL, 0, 0.02);
  return {Image(picture + noise), Mask(kFrame, uchar{255})};
}

// Root mean square over the board, millimetres.
double ErrorMm(const PlaneMap& picture_from_board, const cv::Matx33d& truth) {
  const PlaneMap board_from_picture = picture_from_board.Inverse();
  double sum = 0;
  for (double y = 5; y < 50; y += 10) {
    for (double x = 5; x < 60; x += 10) {
      const Point off = board_from_picture.Apply(PlaneMap{truth}.Apply({x, y})) - Point(x, y);
      sum += off.dot(off) / 30;
    }
  }
  return std::sqrt(sum);
}

TEST(DrawParts, PutsBodiesWhereTheListSays) {
  std::vector<Part> parts(1);
  parts[0].center_mm = {10, 20};
  parts[0].width_mm = parts[0].height_mm = 8;
  for (const bool mirrored : {false, true}) {
    const PartsPicture drawn = DrawParts(parts, BoardSide::kTop, 4, 2, mirrored);
    EXPECT_EQ(drawn.picture.size(), cv::Size(48, 48));
    const Point at = drawn.picture_from_board.Apply({13, 17});
    EXPECT_NEAR(at.x, mirrored ? 12 : 36, 1e-9);
    EXPECT_NEAR(at.y, 12, 1e-9);
    EXPECT_EQ(drawn.picture(24, 24), 1);
    EXPECT_EQ(drawn.picture(3, 3), 0);
  }
  EXPECT_TRUE(DrawParts(parts, BoardSide::kBottom, 4, 2, false).picture.empty());
}

TEST(AlignPartsToPhoto, FindsTheListWithinAThirdOfAMillimetre) {
  const cv::Matx33d truth = PhotoFromBoard(20, 93, 9.5);
  const auto parts = RandomList(1);
  const PartsAlignment found =
      AlignPartsToPhoto(parts, BoardSide::kTop, Drawn(parts, truth, kPhoto), {});
  EXPECT_TRUE(found.accepted) << found.evidence << " " << found.rival_evidence;
  EXPECT_LT(ErrorMm(found.picture_from_board, truth), 0.33);
  EXPECT_LT(found.error_mm, 1);
  EXPECT_FALSE(found.mirrored);
}

// Most drawings of boards count y upwards, pictures downwards.
TEST(AlignPartsToPhoto, FindsTheOtherHandOfTheAxes) {
  const cv::Matx33d truth = PhotoFromBoard(5, 2, 11);
  auto parts = RandomList(2);
  const cv::Mat photo = Drawn(parts, truth, kPhoto);
  for (Part& p : parts) p.center_mm.y = 100 - p.center_mm.y;
  const PartsAlignment found = AlignPartsToPhoto(parts, BoardSide::kTop, photo, {});
  EXPECT_TRUE(found.accepted) << found.evidence << " " << found.rival_evidence;
  EXPECT_TRUE(found.mirrored);
  const cv::Matx33d flip(1, 0, 0, 0, -1, 100, 0, 0, 1);
  EXPECT_LT(ErrorMm(PlaneMap{found.picture_from_board.matrix * flip}, truth), 0.33);
}

TEST(AlignPartsToPhoto, RefusesTheListOfAnotherBoard) {
  const cv::Mat photo = Drawn(RandomList(3), PhotoFromBoard(6, 1, 11), kPhoto);
  const PartsAlignment found = AlignPartsToPhoto(RandomList(53), BoardSide::kTop, photo, {});
  EXPECT_FALSE(found.accepted) << found.evidence << " " << found.rival_evidence;
}

// A grid of like chips lies as well one step further: no place is the only one.
TEST(AlignPartsToPhoto, RefusesAPatternThatFitsInTwoPlaces) {
  std::vector<Part> grid;
  for (int j = 0; j < 6; ++j) {
    for (int i = 0; i < 7; ++i) {
      Part part;
      part.center_mm = {6.0 + 8 * i, 5.0 + 8 * j};
      part.width_mm = 3;
      part.height_mm = 2;
      grid.push_back(part);
    }
  }
  const cv::Mat photo = Drawn(grid, PhotoFromBoard(0, 0, 11), kPhoto);
  EXPECT_FALSE(AlignPartsToPhoto(grid, BoardSide::kTop, photo, {}).accepted);
}

TEST(AlignPartsToPhoto, BelievesNoListOfTheOtherSideOrOfThreeBodies) {
  const auto parts = RandomList(5);
  const cv::Mat photo = Drawn(parts, PhotoFromBoard(0, 0, 11), kPhoto);
  EXPECT_EQ(AlignPartsToPhoto(parts, BoardSide::kBottom, photo, {}).trust, 0);
  EXPECT_EQ(AlignPartsToPhoto(RandomList(5, 3), BoardSide::kTop, photo, {}).trust, 0);
}

TEST(AlignPartsToFrame, FindsAListThatIsSmallerOrLargerThanTheFrame) {
  const auto parts = RandomList(6);
  PartsAlignOptions options;
  options.mm_per_pixel = 0.37;  // In truth 0.357.
  const PartsAlignment small =
      AlignPartsToFrame(parts, BoardSide::kTop, Thermal(parts, FrameFromBoard()), options);
  EXPECT_TRUE(small.accepted) << small.evidence << " " << small.rival_evidence;
  EXPECT_LT(ErrorMm(small.picture_from_board, FrameFromBoard()), 0.4);
  const cv::Matx33d near(4.6, 0, -40, 0, 4.6, -30, 0, 0, 1);
  options.mm_per_pixel = 0.21;  // In truth 0.217; a sixth of the board is out of view.
  const PartsAlignment large =
      AlignPartsToFrame(parts, BoardSide::kTop, Thermal(parts, near), options);
  EXPECT_TRUE(large.accepted) << large.evidence << " " << large.rival_evidence;
  EXPECT_LT(ErrorMm(large.picture_from_board, near), 0.5);
}

TEST(AlignPartsToFrame, NamesWhatIsWrongWithItsInput) {
  const auto parts = RandomList(1);
  EXPECT_THROW((void)AlignPartsToFrame(parts, BoardSide::kTop, {Image(kFrame), Mask()}, {}),
               DataError);
  EXPECT_THROW((void)AlignPartsToPhoto(parts, BoardSide::kTop, cv::Mat(), {}), DataError);
  PartsAlignOptions options;
  options.within = 0;
  EXPECT_THROW((void)AlignPartsToPhoto(parts, BoardSide::kTop, cv::Mat(9, 9, CV_8UC3), options),
               OptionError);
}

TEST(TieToBoard, TakesBoardPlacesFromTheListThroughThePhoto) {
  Case job;
  job.parts = RandomList(8);
  const cv::Matx33d photo_from_board = PhotoFromBoard(8, 0, 11);
  cv::cvtColor(Drawn(job.parts, photo_from_board, kPhoto), job.photo, cv::COLOR_GRAY2BGR);
  job.mm_per_pixel = 0.36;
  // Landmarks tie frame and photo alone.
  for (const Point p : {Point(5, 5), Point(55, 6), Point(54, 45), Point(6, 44), Point(30, 20)}) {
    job.landmarks.push_back(
        {PlaneMap{FrameFromBoard()}.Apply(p), PlaneMap{photo_from_board}.Apply(p), {}});
  }
  // A frame that shows nothing: the photo must do.
  const StaticView blank{Image(kFrame, 295.0F), Mask(kFrame, uchar{255})};
  const BoardMaps maps = TieToBoard(job, blank);
  ASSERT_TRUE(maps.board_from_frame);
  EXPECT_GT(maps.board_trust.value_or(0), 0.95);
  EXPECT_LT(ErrorMm(maps.board_from_frame->Inverse(), FrameFromBoard()), 0.33);
  EXPECT_GT(maps.BoardErrorMm({50, 50}), 0.02);
  ASSERT_EQ(maps.remarks.size(), 1U);
  EXPECT_TRUE(testing::Says(maps.remarks[0], "laid on the photo by its outlines"));
  // A stated scale that contradicts it.
  job.mm_per_pixel = 0.6;
  const BoardMaps refused = TieToBoard(job, blank);
  EXPECT_FALSE(refused.board_from_frame);
  EXPECT_TRUE(testing::Says(refused.remarks.back(), "board_x_mm"));
}

TEST(TieToBoard, TakesBoardPlacesFromTheFramesWithoutAPhoto) {
  Case job;
  job.parts = RandomList(9);
  job.mm_per_pixel = 0.36;
  const BoardMaps maps = TieToBoard(job, Thermal(job.parts, FrameFromBoard()));
  ASSERT_TRUE(maps.board_from_frame);
  EXPECT_LT(ErrorMm(maps.board_from_frame->Inverse(), FrameFromBoard()), 0.4);
  EXPECT_FALSE(maps.photo_from_frame);
  EXPECT_TRUE(testing::Says(maps.remarks.at(0), "laid on the frames"));
}

}  // namespace
}  // namespace ohmglow
