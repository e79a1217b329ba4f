// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "input/color_path.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmglow {
namespace {

constexpr int kSmoothings = 4;
constexpr double kReachKnots = 1.2;  // Standard deviation of what draws a knot.

double Apart(const cv::Vec3f& a, const cv::Vec3f& b) { return cv::norm(a - b); }

struct Edge {
  std::size_t to = 0;
  double length = 0;
};
using Tree = std::vector<std::vector<Edge>>;

// Prim's way; edges above the gap are left out, so that the tree may fall apart.
Tree ShortestTree(const std::vector<ColorPoint>& points, double largest_gap) {
  const std::size_t num = points.size();
  Tree tree(num);
  std::vector<double> nearest(num, std::numeric_limits<double>::infinity());
  std::vector<std::size_t> from(num, 0);
  std::vector<char> in(num, 0);
  std::size_t at = 0;
  for (std::size_t step = 0; step + 1 < num; ++step) {
    in[at] = 1;
    std::size_t next = num;
    for (std::size_t i = 0; i < num; ++i) {
      if (in[i] != 0) continue;
      const double apart = Apart(points[at].color, points[i].color);
      if (apart < nearest[i]) {
        nearest[i] = apart;
        from[i] = at;
      }
      if (next == num || nearest[i] < nearest[next]) next = i;
    }
    if (nearest[next] <= largest_gap) {
      tree[next].push_back({from[next], nearest[next]});
      tree[from[next]].push_back({next, nearest[next]});
    }
    at = next;
  }
  return tree;
}

struct Walk {
  std::vector<double> length;  // From the start; negative where not reached.
  std::vector<std::size_t> from;
  std::size_t farthest = 0;
  double count = 0;
};

Walk WalkFrom(const Tree& tree, const std::vector<ColorPoint>& points, std::size_t start) {
  Walk walk{
      std::vector<double>(tree.size(), -1), std::vector<std::size_t>(tree.size(), start), start, 0};
  std::vector<std::size_t> open{start};
  walk.length[start] = 0;
  while (!open.empty()) {
    const std::size_t at = open.back();
    open.pop_back();
    walk.count += points[at].count;
    if (walk.length[at] > walk.length[walk.farthest]) walk.farthest = at;
    for (const Edge& edge : tree[at]) {
      if (walk.length[edge.to] >= 0) continue;
      walk.length[edge.to] = walk.length[at] + edge.length;
      walk.from[edge.to] = at;
      open.push_back(edge.to);
    }
  }
  return walk;
}

std::vector<cv::Vec3f> Resample(const std::vector<cv::Vec3f>& line, int knots) {
  std::vector<double> length{0};
  for (std::size_t i = 1; i < line.size(); ++i) {
    length.push_back(length.back() + Apart(line[i - 1], line[i]));
  }
  std::vector<cv::Vec3f> out;
  std::size_t i = 1;
  for (int k = 0; k < knots; ++k) {
    const double at = length.back() * k / (knots - 1);
    while (i + 1 < line.size() && length[i] < at) ++i;
    const double step = length[i] - length[i - 1];
    const auto part =
        static_cast<float>(step > 0 ? std::clamp((at - length[i - 1]) / step, 0.0, 1.0) : 0);
    out.push_back(line[i - 1] + part * (line[i] - line[i - 1]));
  }
  return out;
}

// Every knot to the mean of the points about it.
std::vector<cv::Vec3f> DrawToPoints(const std::vector<cv::Vec3f>& line,
                                    const std::vector<ColorPoint>& points) {
  const auto last = static_cast<double>(line.size() - 1);
  std::vector<cv::Vec3d> sum(line.size(), cv::Vec3d(0, 0, 0));
  std::vector<double> weights(line.size(), 0);
  for (const ColorPoint& point : points) {
    const PathPlace place = PlaceOnPath(line, point.color);
    // What lies far off is no part of the row.
    const double near = std::exp(-0.5 * place.distance * place.distance / (20.0 * 20.0));
    const double at = place.along * last;
    for (std::size_t k = 0; k < line.size(); ++k) {
      const double apart = (static_cast<double>(k) - at) / kReachKnots;
      if (std::abs(apart) > 3) continue;
      // Often seen colours say more, but not by as much as they are more often seen.
      const double weight = near * std::sqrt(point.count) * std::exp(-0.5 * apart * apart);
      sum[k] += weight * cv::Vec3d(point.color);
      weights[k] += weight;
    }
  }
  std::vector<cv::Vec3f> out = line;
  // The ends would shrink inwards.
  for (std::size_t k = 1; k + 1 < line.size(); ++k) {
    if (weights[k] > 0) out[k] = cv::Vec3f(sum[k] * (1 / weights[k]));
  }
  return out;
}

}  // namespace

std::vector<std::size_t> LongestPath(const std::vector<ColorPoint>& points, double largest_gap) {
  if (points.size() < 2) return {};
  const Tree tree = ShortestTree(points, largest_gap);
  // The part that holds most of the counts.
  std::vector<char> seen(points.size(), 0);
  Walk best;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (seen[i] != 0) continue;
    Walk walk = WalkFrom(tree, points, i);
    for (std::size_t k = 0; k < points.size(); ++k) {
      if (walk.length[k] >= 0) seen[k] = 1;
    }
    if (walk.count > best.count) best = std::move(walk);
  }
  const Walk way = WalkFrom(tree, points, best.farthest);
  std::vector<std::size_t> path{way.farthest};
  while (path.back() != best.farthest) path.push_back(way.from[path.back()]);
  return path;
}

std::vector<cv::Vec3f> SmoothPath(const std::vector<ColorPoint>& points,
                                  const std::vector<std::size_t>& path,
                                  int knots) {
  if (path.size() < 2) return {};
  std::vector<cv::Vec3f> line;
  for (const std::size_t i : path) line.push_back(points[i].color);
  line = Resample(line, knots);
  for (int i = 0; i < kSmoothings; ++i) line = Resample(DrawToPoints(line, points), knots);
  return line;
}

PathPlace PlaceOnPath(const std::vector<cv::Vec3f>& knots, const cv::Vec3f& color) {
  PathPlace best{0, std::numeric_limits<double>::infinity()};
  const std::size_t steps = knots.size() - 1;
  for (std::size_t k = 0; k < steps; ++k) {
    const cv::Vec3f along = knots[k + 1] - knots[k];
    const cv::Vec3f off = color - knots[k];
    const float square = along.dot(along);
    const float part = square > 0 ? std::clamp(off.dot(along) / square, 0.0F, 1.0F) : 0.0F;
    const double distance = cv::norm(off - part * along);
    if (distance >= best.distance) continue;
    best = {(static_cast<double>(k) + static_cast<double>(part)) / static_cast<double>(steps),
            distance};
  }
  return best;
}

}  // namespace ohmglow
