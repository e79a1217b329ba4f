// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "convert/surroundings.h"

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "ohmglow/align/board_maps.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// The hull is drawn in pieces of this length, as a lens bends its sides [mm].
constexpr double kPieceMm = 2;

void AddBox(Point center, double width, double height, std::vector<cv::Point2f>& corners) {
  for (const double sx : {-0.5, 0.5}) {
    for (const double sy : {-0.5, 0.5}) {
      corners.emplace_back(
          center + Point(sx * (width + 2 * kBoardMarginMm), sy * (height + 2 * kBoardMarginMm)));
    }
  }
}

std::vector<cv::Point2f> HullMm(const Case& job) {
  std::vector<cv::Point2f> corners;
  for (const Part& part : job.parts) {
    AddBox(part.center_mm, part.width_mm, part.height_mm, corners);
  }
  for (const Landmark& mark : job.landmarks) {
    if (mark.board_mm) AddBox(*mark.board_mm, 0, 0, corners);
  }
  std::vector<cv::Point2f> hull;
  cv::convexHull(corners, hull);
  return hull;
}

}  // namespace

cv::Mat WithoutSurroundings(const Case& job) {
  const BoardMaps maps = FitBoardMaps(job.landmarks, job.photo.size());
  if (!maps.photo_from_frame || !maps.board_from_frame) {
    throw DataError(
        "--blank-surroundings: landmarks do not tell where the board lies in the photo; give "
        "three or more with board_x_mm,board_y_mm (see 'ohmglow help case'), or leave the option "
        "out");
  }
  const PlaneMap frame_from_board = maps.board_from_frame->Inverse();
  const std::vector<cv::Point2f> hull = HullMm(job);
  std::vector<cv::Point> outline;
  for (std::size_t i = 0; i < hull.size(); ++i) {
    const Point from = hull[i];
    const Point along = Point(hull[(i + 1) % hull.size()]) - from;
    const int pieces = static_cast<int>(std::ceil(cv::norm(along) / kPieceMm));
    for (int k = 0; k < pieces; ++k) {
      const Point place =
          maps.PhotoPlace(frame_from_board.Apply(from + along * (static_cast<double>(k) / pieces)));
      outline.emplace_back(cvRound(place.x), cvRound(place.y));
    }
  }
  Mask board(job.photo.size(), static_cast<unsigned char>(0));
  cv::fillPoly(board, std::vector<std::vector<cv::Point>>{outline}, cv::Scalar(255));
  cv::Mat photo(job.photo.size(), job.photo.type(), cv::Scalar::all(0));
  job.photo.copyTo(photo, board);
  return photo;
}

}  // namespace ohmglow
