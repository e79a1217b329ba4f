// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/body_rectangles.h"

#include <cmath>

namespace ohmglow {

cv::Rect2d RectangleAround(const std::vector<cv::Rect2d>& bodies_mm) {
  cv::Rect2d all;
  for (const cv::Rect2d& body : bodies_mm) all = all.empty() ? body : (all | body);
  return all;
}

double ApartMm(const PlaneMap& picture_from_board,
               const PlaneMap& other,
               const std::vector<cv::Rect2d>& bodies_mm,
               const std::optional<cv::Size>& picture_px) {
  const PlaneMap back = other.Inverse();
  double sum = 0;
  int count = 0;
  for (const cv::Rect2d& body : bodies_mm) {
    const Point center = 0.5 * (body.tl() + body.br());
    const Point at = picture_from_board.Apply(center);
    if (picture_px && !cv::Rect2d({}, cv::Size2d(*picture_px)).contains(at)) continue;
    const Point d = back.Apply(at) - center;
    sum += d.dot(d);
    ++count;
  }
  return count > 0 ? std::sqrt(sum / count) : 0;
}

}  // namespace ohmglow
