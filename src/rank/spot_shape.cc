// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_shape.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace ohmglow {
namespace {

// Pixels connected to the start whose value is at least `level`.
std::vector<cv::Point> Grow(const Image& map, const Mask& seen, cv::Point start, float level) {
  Mask visited(map.size(), static_cast<unsigned char>(0));
  std::vector<cv::Point> patch = {start};
  visited(start) = 1;
  for (std::size_t i = 0; i < patch.size(); ++i) {
    for (int dy = -1; dy <= 1; ++dy) {
      for (int dx = -1; dx <= 1; ++dx) {
        const cv::Point p = patch[i] + cv::Point(dx, dy);
        if (p.x < 0 || p.y < 0 || p.x >= map.cols || p.y >= map.rows) continue;
        if (visited(p) != 0 || seen(p) == 0 || map(p) < level) continue;
        visited(p) = 1;
        patch.push_back(p);
      }
    }
  }
  return patch;
}

bool TouchesUnseen(const Mask& seen, cv::Point p) {
  for (int dy = -1; dy <= 1; ++dy) {
    for (int dx = -1; dx <= 1; ++dx) {
      const cv::Point q = p + cv::Point(dx, dy);
      if (q.x < 0 || q.y < 0 || q.x >= seen.cols || q.y >= seen.rows || seen(q) == 0) return true;
    }
  }
  return false;
}

}  // namespace

SpotShape MeasureShape(const Image& rise_k,
                       const Mask& seen,
                       Point peak_px,
                       const std::vector<Point>& contacts_px) {
  cv::Point start(cvRound(peak_px.x), cvRound(peak_px.y));
  start.x = std::clamp(start.x, 0, rise_k.cols - 1);
  start.y = std::clamp(start.y, 0, rise_k.rows - 1);
  // Half of no rise at all would be the whole picture.
  const float least = std::numeric_limits<float>::min();
  const std::vector<cv::Point> patch =
      Grow(rise_k, seen, start, std::max(0.5F * rise_k(start), least));
  SpotShape shape;
  const auto n = static_cast<double>(patch.size());
  shape.area_px = n;
  shape.width_px = 2 * std::sqrt(n / std::numbers::pi);
  Point mean;
  for (const cv::Point p : patch) mean += Point(p) * (1 / n);
  double xx = 1.0 / 12;  // a pixel's own spread keeps a single row from being a line
  double yy = 1.0 / 12;
  double xy = 0;
  for (const cv::Point p : patch) {
    const Point d = Point(p) - mean;
    xx += d.x * d.x / n;
    yy += d.y * d.y / n;
    xy += d.x * d.y / n;
    shape.leaves_view = shape.leaves_view || TouchesUnseen(seen, p);
    for (const Point contact : contacts_px) {
      shape.nearest_contact_px = std::min(shape.nearest_contact_px, cv::norm(Point(p) - contact));
    }
  }
  const double middle = 0.5 * (xx + yy);
  const double half = std::hypot(0.5 * (xx - yy), xy);
  shape.elongation = std::sqrt((middle + half) / std::max(middle - half, 1.0 / 12));
  shape.length_px = 4 * std::sqrt(middle + half);
  return shape;
}

}  // namespace ohmglow
