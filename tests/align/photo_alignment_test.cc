// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/photo_alignment.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <random>
#include <vector>

#include "align/photo_edges.h"
#include "ohmglow/base/error.h"
#include "support/said.h"

namespace ohmglow {
namespace {

const cv::Size kFrame(160, 120);
const cv::Size kPhoto(900, 720);

struct Body {
  cv::Rect2d box_mm;
  double heat = 0;   // Against the board, in the thermal picture.
  double light = 0;  // Brightness in the photo, 0 .. 255.
};

// A board of 60 mm x 50 mm; the contrasts of the two pictures have nothing to
// do with each other.
std::vector<Body> RandomBoard(unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> share(0, 1);
  std::vector<Body> bodies;
  for (int n = 0; n < 40; ++n) {
    const double size = n < 6 ? 6 : 1.5;
    const cv::Rect2d box(58 * share(random),
                         48 * share(random),
                         size * (0.7 + share(random)),
                         size * (0.5 + share(random)));
    bodies.push_back({box & cv::Rect2d(0, 0, 60, 50),
                      share(random) - 0.6,
                      n % 2 == 0 ? 30 + 40 * share(random) : 170 + 80 * share(random)});
  }
  return bodies;
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

// About 2.3 pixels a millimetre.
cv::Matx33d FrameFromBoard() { return {2.3, 0.05, 9, -0.05, 2.3, 3, 0, 0, 1}; }

StaticView Thermal(const std::vector<Body>& board, double sign = 1) {
  cv::Mat drawn(kFrame, CV_8UC1, cv::Scalar(60));
  Fill(drawn, FrameFromBoard(), {0, 0, 60, 50}, 150);
  for (const Body& b : board) Fill(drawn, FrameFromBoard(), b.box_mm, 150 + 120 * b.heat);
  Image picture;
  drawn.convertTo(picture, CV_32F, sign * 0.01, 295);
  cv::GaussianBlur(picture, picture, {0, 0}, 0.7);
  cv::Mat noise(kFrame, CV_32F);
  cv::RNG generator(4);
  generator.fill(noise, cv::RNG::NORMAL, 0, 0.01);
  return {Image(picture + noise), Mask(kFrame, uchar{255})};
}

// A photo from `tilt_deg` aside, its middle over the board's.
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

cv::Mat Photo(const std::vector<Body>& board, const cv::Matx33d& photo_from_board) {
  cv::Mat photo(kPhoto, CV_8UC1, cv::Scalar(125));
  Fill(photo, photo_from_board, {0, 0, 60, 50}, 80);
  for (const Body& b : board) Fill(photo, photo_from_board, b.box_mm, b.light);
  cv::GaussianBlur(photo, photo, {0, 0}, 1);
  cv::cvtColor(photo, photo, cv::COLOR_GRAY2BGR);
  return photo;
}

// Root mean square error over the board, millimetres.
double ErrorMm(const PlaneMap& photo_from_frame, const cv::Matx33d& photo_from_board) {
  const PlaneMap board_from_photo{photo_from_board.inv()};
  const PlaneMap frame_from_board{FrameFromBoard()};
  double sum = 0;
  for (double y = 5; y < 50; y += 10) {
    for (double x = 5; x < 60; x += 10) {
      const Point p = photo_from_frame.Apply(frame_from_board.Apply({x, y}));
      const Point off = board_from_photo.Apply(p) - Point(x, y);
      sum += off.dot(off) / 30;
    }
  }
  return std::sqrt(sum);
}

TEST(AlignPhoto, FindsAViewFromUpTo25DegreesAside) {
  for (const double tilt_deg : {0.0, 25.0}) {
    const cv::Matx33d truth = PhotoFromBoard(tilt_deg, 3, 11);
    const auto board = RandomBoard(1);
    const PhotoAlignment found = AlignPhoto(Thermal(board), Photo(board, truth), {});
    EXPECT_TRUE(found.accepted) << tilt_deg << " " << found.z << " " << found.rival_z;
    EXPECT_LT(ErrorMm(found.photo_from_frame, truth), 0.5) << tilt_deg;
  }
}

TEST(AlignPhoto, TurnsShiftsAndGrowsWithThePhoto) {
  const auto board = RandomBoard(2);
  for (const double turn_deg : {-90.0, 176.0}) {
    const cv::Matx33d shift(1, 0, 40, 0, 1, -25, 0, 0, 1);
    const cv::Matx33d truth = shift * PhotoFromBoard(5, turn_deg, 9);
    const PhotoAlignment found = AlignPhoto(Thermal(board), Photo(board, truth), {});
    EXPECT_TRUE(found.accepted) << turn_deg;
    EXPECT_LT(ErrorMm(found.photo_from_frame, truth), 0.5) << turn_deg;
  }
}

TEST(AlignPhoto, DoesNotAskForTheSignOfTheContrast) {
  const auto board = RandomBoard(3);
  const cv::Matx33d truth = PhotoFromBoard(8, 0, 11);
  for (const double sign : {1.0, -1.0}) {
    const PhotoAlignment found = AlignPhoto(Thermal(board, sign), Photo(board, truth), {});
    EXPECT_TRUE(found.accepted) << sign;
    EXPECT_LT(ErrorMm(found.photo_from_frame, truth), 0.5) << sign;
  }
}

TEST(AlignPhoto, RefusesThePhotoOfAnotherBoard) {
  for (const unsigned seed : {4U, 6U}) {
    const PhotoAlignment found = AlignPhoto(
        Thermal(RandomBoard(seed)), Photo(RandomBoard(seed + 50), PhotoFromBoard(6, 1, 11)), {});
    EXPECT_FALSE(found.accepted) << seed << " " << found.z << " " << found.rival_z;
  }
}

TEST(AlignPhoto, RefusesPicturesThatShowNothing) {
  const StaticView plain{Image(kFrame, 295.0F), Mask(kFrame, uchar{255})};
  const auto board = RandomBoard(7);
  EXPECT_FALSE(AlignPhoto(plain, Photo(board, PhotoFromBoard(0, 0, 11)), {}).accepted);
  EXPECT_FALSE(
      AlignPhoto(Thermal(board), cv::Mat(kPhoto, CV_8UC3, cv::Scalar::all(90)), {}).accepted);
}

TEST(AlignPhoto, LeavesOutPixelsWithoutAValue) {
  const auto board = RandomBoard(1);
  const cv::Matx33d truth = PhotoFromBoard(5, 0, 11);
  StaticView thermal = Thermal(board);
  thermal.picture_k(cv::Rect(10, 10, 20, 20)) = std::nanf("");
  thermal.seen.rowRange(100, 120) = 0;
  const PhotoAlignment found = AlignPhoto(thermal, Photo(board, truth), {});
  EXPECT_TRUE(found.accepted);
  EXPECT_LT(ErrorMm(found.photo_from_frame, truth), 0.5);
}

TEST(AlignPhoto, NamesWhatIsWrongWithItsInput) {
  const auto board = RandomBoard(1);
  const StaticView thermal = Thermal(board);
  EXPECT_THROW((void)AlignPhoto(thermal, cv::Mat(), {}), DataError);
  EXPECT_THROW((void)AlignPhoto({thermal.picture_k, Mask()}, cv::Mat(kPhoto, CV_8UC3), {}),
               DataError);
  PhotoAlignOptions options;
  options.most_frames = 0.1;
  EXPECT_THROW((void)AlignPhoto(thermal, cv::Mat(kPhoto, CV_8UC3), options), OptionError);
}

TEST(TieToBoard, UsesLandmarksFirstAndAsksForThemElse) {
  const auto board = RandomBoard(1);
  const cv::Matx33d truth = PhotoFromBoard(5, 0, 11);
  Case job;
  EXPECT_TRUE(TieToBoard(job, Thermal(board)).remarks.empty());
  job.photo = Photo(board, truth);
  const BoardMaps found = TieToBoard(job, Thermal(board));
  ASSERT_TRUE(found.photo_from_frame);
  EXPECT_GT(found.photo_trust.value_or(0), 0.95);
  EXPECT_LT(ErrorMm(*found.photo_from_frame, truth), 0.5);
  const BoardMaps refused = TieToBoard(job, Thermal(RandomBoard(60)));
  EXPECT_FALSE(refused.photo_from_frame);
  ASSERT_EQ(refused.remarks.size(), 1U);
  EXPECT_TRUE(testing::Says(refused.remarks[0], "three or more"));
  job.landmarks = {
      {{10, 10}, {100, 100}, {}}, {{90, 10}, {500, 100}, {}}, {{50, 80}, {300, 450}, {}}};
  const BoardMaps given = TieToBoard(job, Thermal(board));
  EXPECT_FALSE(given.photo_trust);
  EXPECT_NEAR(cv::norm(given.PhotoPlace({10, 10}) - Point(100, 100)), 0, 1e-6);
}

// A square grid seen from a slant is seen straight again: its two bundles of
// lines are at right angles everywhere.
TEST(PhotoFromStraight, TakesTheSlantOut) {
  const cv::Matx33d truth = PhotoFromBoard(20, 10, 11);
  cv::Mat drawn(kPhoto, CV_8UC1, cv::Scalar(125));
  for (int j = 0; j < 5; ++j) {
    for (int i = 0; i < 6; ++i) Fill(drawn, truth, {10.0 * i + 2, 10.0 * j + 2, 6, 6}, 220);
  }
  Image photo;
  drawn.convertTo(photo, CV_32F);
  const PlaneMap straight_from_board{PhotoFromStraight(photo, 30).Inverse().matrix * truth};
  for (const Point at : {Point(10, 10), Point(50, 10), Point(10, 40), Point(50, 40)}) {
    const cv::Matx22d j = straight_from_board.Jacobian(at);
    const double turn = std::atan2(j(1, 0), j(0, 0));
    const double other = std::atan2(-j(0, 1), j(1, 1));
    EXPECT_NEAR((turn - other) * 180 / CV_PI, 0, 2) << at;
  }
}

}  // namespace
}  // namespace ohmglow
