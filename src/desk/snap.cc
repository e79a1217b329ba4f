// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/snap.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace ohmglow::desk {

Point NearestCorner(const Image& picture, Point near_px, double radius_px) {
  const int reach = static_cast<int>(std::ceil(2 * radius_px)) + 4;
  const cv::Point middle(cvRound(near_px.x), cvRound(near_px.y));
  const cv::Rect window =
      cv::Rect(middle.x - reach, middle.y - reach, 2 * reach + 1, 2 * reach + 1) &
      cv::Rect({0, 0}, picture.size());
  if (window.width < 8 || window.height < 8) return near_px;
  Image part = picture(window).clone();
  const double mean = cv::mean(part, part == part)[0];  // A value that is none differs from itself.
  part.setTo(mean, part != part);
  Image strength;
  cv::cornerMinEigenVal(part, strength, 3, 3);
  double strongest = 0;
  cv::minMaxLoc(strength, nullptr, &strongest);
  const Point at = near_px - Point(window.x, window.y);
  double best = 0.05 * strongest;  // Weaker ones are grain.
  Point corner;
  bool found = false;
  for (int y = 1; y < part.rows - 1; ++y) {
    for (int x = 1; x < part.cols - 1; ++x) {
      const double distance = std::hypot(x - at.x, y - at.y);
      if (distance > radius_px) continue;
      const double own = static_cast<double>(strength(y, x)) *
                         std::exp(-0.5 * distance * distance / (radius_px * radius_px) * 4);
      if (own <= best) continue;
      best = own;
      corner = Point(x, y);
      found = true;
    }
  }
  if (!found) return near_px;
  std::vector<cv::Point2f> fine{cv::Point2f(corner)};
  const int half = std::max(2, static_cast<int>(radius_px / 2));
  if (part.cols < 2 * half + 5 || part.rows < 2 * half + 5) return near_px;
  cv::cornerSubPix(part,
                   fine,
                   {half, half},
                   {-1, -1},
                   {cv::TermCriteria::COUNT + cv::TermCriteria::EPS, 30, 0.01});
  const Point out(fine.front());
  const Point moved = out - corner;
  return (std::hypot(moved.x, moved.y) > radius_px ? corner : out) + Point(window.x, window.y);
}

}  // namespace ohmglow::desk
