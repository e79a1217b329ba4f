// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/leaders.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "picture/segments.h"

namespace ohmglow::internal {
namespace {

constexpr double kCrossingCost = 1000;
constexpr double kHitCost = 300;
constexpr int kBendGrid = 24;
// A line over parts, as if so many times as long.
constexpr double kDetailCost = 4;

using Polyline = std::vector<Point>;

double Length(const Polyline& line) {
  double length = 0;
  for (std::size_t i = 1; i < line.size(); ++i) {
    length += std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
  }
  return length;
}

bool Cross(const Polyline& a, const Polyline& b) {
  for (std::size_t i = 1; i < a.size(); ++i) {
    for (std::size_t j = 1; j < b.size(); ++j) {
      if (SegmentsCross(a[i - 1], a[i], b[j - 1], b[j])) return true;
    }
  }
  return false;
}

// Rings and badges a leader runs over, its own badge excepted.
int NumHits(const std::vector<Mark>& marks,
            std::size_t self,
            const Polyline& line,
            const TypeSizes& sizes) {
  int hits = 0;
  for (std::size_t i = 1; i < line.size(); ++i) {
    for (std::size_t k = 0; k < marks.size(); ++k) {
      if (!marks[k].on_picture) continue;
      const double to_ring = SegmentDistance(marks[k].center, line[i - 1], line[i]);
      if (to_ring < marks[k].radius_px + sizes.line_px) ++hits;
      const double to_badge = SegmentDistance(marks[k].badge, line[i - 1], line[i]);
      if (k != self && to_badge < sizes.badge_radius_px + 2 * sizes.line_px) ++hits;
    }
  }
  return hits;
}

// Depth-first search over the orders of the legend; eight places at most, so
// the exact best is found.
class OrderSearch {
 public:
  OrderSearch(const std::vector<Polyline>& straight, std::size_t num, std::vector<double> costs)
      : straight_(straight), num_(num), costs_(std::move(costs)), order_(num), best_order_(num) {
    std::iota(best_order_.begin(), best_order_.end(), std::size_t{0});
    Descend(0, 0);
  }
  [[nodiscard]] const std::vector<std::size_t>& best() const { return best_order_; }

 private:
  void Descend(std::size_t mark, double cost) {
    if (cost >= best_cost_) return;
    if (mark == num_) {
      best_cost_ = cost;
      best_order_ = order_;
      return;
    }
    for (std::size_t port = 0; port < num_; ++port) {
      const auto end = order_.begin() + static_cast<std::ptrdiff_t>(mark);
      if (std::find(order_.begin(), end, port) != end) continue;
      order_[mark] = port;
      double added = costs_[mark * num_ + port];
      for (std::size_t i = 0; i < mark; ++i) {
        const bool cross = Cross(straight_[i * num_ + order_[i]], straight_[mark * num_ + port]);
        if (cross) added += kCrossingCost;
      }
      Descend(mark + 1, cost + added);
    }
  }

  const std::vector<Polyline>& straight_;
  std::size_t num_;
  std::vector<double> costs_;
  std::vector<std::size_t> order_;
  std::vector<std::size_t> best_order_;
  double best_cost_ = std::numeric_limits<double>::infinity();
};

// What is to be seen in the picture, and where its corner lies.
struct Seen {
  const PictureDetail& detail;
  Point corner;
};

double CostAmong(const std::vector<Polyline>& lines,
                 std::size_t self,
                 const std::vector<Mark>& marks,
                 const Polyline& line,
                 const TypeSizes& sizes,
                 const Seen& seen) {
  double cost = kHitCost * NumHits(marks, self, line, sizes) + Length(line) / sizes.headline_px;
  for (std::size_t i = 1; i < line.size(); ++i) {
    const Point from = line[i - 1] - seen.corner;
    const Point to = line[i] - seen.corner;
    const double length_px = std::hypot(to.x - from.x, to.y - from.y);
    cost += kDetailCost * seen.detail.Along(from, to, 3 * sizes.line_px) * length_px /
            sizes.headline_px;
  }
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (i != self && !lines[i].empty() && Cross(lines[i], line)) cost += kCrossingCost;
  }
  return cost;
}

// Tries one bend on a grid over the picture.
void Bend(std::vector<Polyline>& lines,
          std::size_t self,
          const std::vector<Mark>& marks,
          cv::Rect2d picture_px,
          const TypeSizes& sizes,
          const Seen& seen) {
  const Polyline straight{lines[self].front(), lines[self].back()};
  double best = CostAmong(lines, self, marks, straight, sizes, seen);
  lines[self] = straight;
  if (best < kHitCost) return;
  for (int row = 0; row <= kBendGrid; ++row) {
    for (int column = 0; column <= kBendGrid; ++column) {
      const Point bend(picture_px.x + picture_px.width * column / kBendGrid,
                       picture_px.y + picture_px.height * row / kBendGrid);
      const Polyline bent{straight.front(), bend, straight.back()};
      const double cost = CostAmong(lines, self, marks, bent, sizes, seen) + 1;
      if (cost < best) {
        best = cost;
        lines[self] = bent;
      }
    }
  }
}

}  // namespace

Leaders RouteLeaders(const std::vector<Mark>& marks,
                     const std::vector<Point>& ports,
                     cv::Rect2d picture_px,
                     const TypeSizes& sizes,
                     const PictureDetail& detail) {
  const std::size_t num_all = marks.size();
  // Places off the picture have no leader and take the last entries.
  std::vector<std::size_t> shown;
  for (std::size_t i = 0; i < num_all; ++i) {
    if (marks[i].on_picture) shown.push_back(i);
  }
  const std::size_t num = shown.size();
  std::vector<Polyline> straight;
  std::vector<double> costs;
  for (std::size_t i = 0; i < num; ++i) {
    for (std::size_t j = 0; j < num; ++j) {
      straight.push_back({marks[shown[i]].badge, ports[j]});
      costs.push_back(kHitCost * NumHits(marks, shown[i], straight.back(), sizes) +
                      Length(straight.back()) / sizes.headline_px);
    }
  }
  const std::vector<std::size_t> order = OrderSearch(straight, num, std::move(costs)).best();

  Leaders leaders{std::vector<std::size_t>(num_all), std::vector<Polyline>(num_all)};
  for (std::size_t i = 0; i < num; ++i) {
    leaders.port_of_mark[shown[i]] = order[i];
    leaders.lines[shown[i]] = straight[i * num + order[i]];
  }
  std::size_t next = num;
  for (std::size_t i = 0; i < num_all; ++i) {
    if (!marks[i].on_picture) leaders.port_of_mark[i] = next++;
  }
  const Seen seen{detail, picture_px.tl()};
  for (int pass = 0; pass < 2; ++pass) {
    for (const std::size_t i : shown) Bend(leaders.lines, i, marks, picture_px, sizes, seen);
  }
  return leaders;
}

}  // namespace ohmglow::internal
