// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/parts_picture.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "align/body_rectangles.h"

namespace ohmglow {
namespace {

constexpr int kMostSidePx = 2000;
constexpr int kShift = 4;  // Fractional bits of drawn corners.
constexpr double kBody = 255;
constexpr double kMiddle = 100;
// Common practice, no source: the largest chips are 6.4 mm long, their ends a quarter.
constexpr double kLongestChipMm = 6.5;
constexpr double kLeastAspect = 1.25;
constexpr double kEndShare = 0.25;

// Small and long: a chip, whose metal ends show in either picture.
bool TwoEnded(const cv::Rect2d& body) {
  const double longer = std::max(body.width, body.height);
  return longer <= kLongestChipMm && longer >= kLeastAspect * std::min(body.width, body.height);
}

std::array<cv::Rect2d, 2> EndsOf(const cv::Rect2d& b) {
  if (b.width >= b.height) {
    const double end = kEndShare * b.width;
    return {cv::Rect2d(b.x, b.y, end, b.height), {b.br().x - end, b.y, end, b.height}};
  }
  const double end = kEndShare * b.height;
  return {cv::Rect2d(b.x, b.y, b.width, end), {b.x, b.br().y - end, b.width, end}};
}

void FillBox(const PlaneMap& picture_from_board,
             const cv::Rect2d& b,
             double value,
             cv::Mat& drawn) {
  std::vector<cv::Point> corners;
  for (const Point p : {b.tl(), Point(b.br().x, b.y), b.br(), Point(b.x, b.br().y)}) {
    const Point at = picture_from_board.Apply(p) * static_cast<double>(1 << kShift);
    corners.emplace_back(static_cast<int>(std::lround(at.x)), static_cast<int>(std::lround(at.y)));
  }
  cv::fillConvexPoly(drawn, corners, cv::Scalar(value), cv::LINE_AA, kShift);
}

}  // namespace

std::vector<cv::Rect2d> BodiesOf(const std::vector<Part>& parts, BoardSide side) {
  std::vector<cv::Rect2d> bodies;
  for (const Part& p : parts) {
    if (p.side != side || !(p.width_mm > 0 && p.height_mm > 0)) continue;
    bodies.emplace_back(p.center_mm.x - 0.5 * p.width_mm,
                        p.center_mm.y - 0.5 * p.height_mm,
                        p.width_mm,
                        p.height_mm);
  }
  return bodies;
}

cv::Size2d ExtentMm(const std::vector<Part>& parts, BoardSide side) {
  return RectangleAround(BodiesOf(parts, side)).size();
}

PartsPicture DrawParts(const std::vector<Part>& parts,
                       BoardSide side,
                       double px_per_mm,
                       double margin_mm,
                       bool mirrored) {
  PartsPicture out;
  const std::vector<cv::Rect2d> bodies = BodiesOf(parts, side);
  if (bodies.empty()) return out;
  const cv::Rect2d all = RectangleAround(bodies);
  const double width_mm = all.width + 2 * margin_mm;
  const double height_mm = all.height + 2 * margin_mm;
  const double scale = std::min(px_per_mm, kMostSidePx / std::max(width_mm, height_mm));
  const cv::Size size(std::max(8, static_cast<int>(std::ceil(width_mm * scale))),
                      std::max(8, static_cast<int>(std::ceil(height_mm * scale))));
  const double left = all.x - margin_mm;
  const double top = all.y - margin_mm;
  out.picture_from_board.matrix =
      mirrored ? cv::Matx33d(-scale, 0, scale * (left + width_mm), 0, scale, -scale * top, 0, 0, 1)
               : cv::Matx33d(scale, 0, -scale * left, 0, scale, -scale * top, 0, 0, 1);
  cv::Mat drawn(size, CV_8UC1, cv::Scalar(0));
  for (const cv::Rect2d& body : bodies) {
    if (TwoEnded(body)) {
      FillBox(out.picture_from_board, body, kMiddle, drawn);
      for (const cv::Rect2d& end : EndsOf(body)) {
        FillBox(out.picture_from_board, end, kBody, drawn);
      }
    } else {
      FillBox(out.picture_from_board, body, kBody, drawn);
    }
  }
  drawn.convertTo(out.picture, CV_32F, 1.0 / 255);
  return out;
}

}  // namespace ohmglow
