// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/segments.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::internal {

bool SegmentsCross(Point a, Point b, Point c, Point d) {
  const auto side = [](Point p, Point q, Point r) { return (q - p).cross(r - p); };
  const double c_side = side(a, b, c);
  const double d_side = side(a, b, d);
  const double a_side = side(c, d, a);
  const double b_side = side(c, d, b);
  if (c_side * d_side > 0 || a_side * b_side > 0) return false;
  if (c_side != 0 || d_side != 0) return true;
  // On one line: they meet where their extents do.
  return std::max(std::min(a.x, b.x), std::min(c.x, d.x)) <=
             std::min(std::max(a.x, b.x), std::max(c.x, d.x)) &&
         std::max(std::min(a.y, b.y), std::min(c.y, d.y)) <=
             std::min(std::max(a.y, b.y), std::max(c.y, d.y));
}

double SegmentDistance(Point p, Point a, Point b) {
  const Point along = b - a;
  const double length2 = along.dot(along);
  const double t = length2 > 0 ? std::clamp((p - a).dot(along) / length2, 0.0, 1.0) : 0.0;
  const Point rest = p - (a + t * along);
  return std::hypot(rest.x, rest.y);
}

}  // namespace ohmglow::internal
