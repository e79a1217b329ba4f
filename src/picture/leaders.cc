// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/leaders.h"

#include <algorithm>
#include <cmath>

#include "picture/segments.h"

namespace ohmglow::internal {
namespace {

constexpr double kCrossingCost = 1000;
constexpr double kHitCost = 300;
constexpr double kGap = 6;  // Between two lines, in their widths.
constexpr int kBendGrid = 24;
// A line longer than so many times the straight one is harder to follow than a
// numeral; what is hardly the fault is not worth a line that winds.
constexpr double kMostDetour = 1.25;
constexpr double kMostWeakDetour = 1.04;
constexpr double kSharpestCosine = -0.5;  // Of 120 degrees: sharper ones point elsewhere.
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

// Lines that cross, or come so near that they seem to.
bool Cross(const Polyline& a, const Polyline& b, double gap_px) {
  for (std::size_t i = 1; i < a.size(); ++i) {
    for (std::size_t j = 1; j < b.size(); ++j) {
      const double apart_px = std::min({SegmentDistance(a[i - 1], b[j - 1], b[j]),
                                        SegmentDistance(a[i], b[j - 1], b[j]),
                                        SegmentDistance(b[j - 1], a[i - 1], a[i]),
                                        SegmentDistance(b[j], a[i - 1], a[i])});
      if (apart_px < gap_px || SegmentsCross(a[i - 1], a[i], b[j - 1], b[j])) return true;
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

// What is to be seen in the picture, and where its corner lies.
struct Seen {
  const PictureDetail& detail;
  Point corner;
};

bool CrossesAny(const std::vector<Polyline>& lines,
                std::size_t self,
                const Polyline& line,
                double gap_px) {
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (i != self && !lines[i].empty() && Cross(lines[i], line, gap_px)) return true;
  }
  return false;
}

bool IsFree(const std::vector<Polyline>& lines,
            std::size_t self,
            const std::vector<Mark>& marks,
            const TypeSizes& sizes) {
  return NumHits(marks, self, lines[self], sizes) == 0 &&
         !CrossesAny(lines, self, lines[self], kGap * sizes.line_px);
}

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
  return CrossesAny(lines, self, line, kGap * sizes.line_px) ? cost + kCrossingCost : cost;
}

bool IsSharp(const Polyline& bent) {
  const Point back = bent[0] - bent[1];
  const Point on = bent[2] - bent[1];
  return back.dot(on) > kSharpestCosine * cv::norm(back) * cv::norm(on);
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
  const double most_px =
      (marks[self].may_be_fault ? kMostDetour : kMostWeakDetour) * Length(straight);
  for (int row = 0; row <= kBendGrid; ++row) {
    for (int column = 0; column <= kBendGrid; ++column) {
      const Point bend(picture_px.x + picture_px.width * column / kBendGrid,
                       picture_px.y + picture_px.height * row / kBendGrid);
      const Polyline bent{straight.front(), bend, straight.back()};
      if (Length(bent) > most_px || IsSharp(bent)) continue;
      const double cost = CostAmong(lines, self, marks, bent, sizes, seen) + 1;
      if (cost < best) {
        best = cost;
        lines[self] = bent;
      }
    }
  }
}

}  // namespace

std::vector<std::vector<Point>> RouteLeaders(const std::vector<Mark>& marks,
                                             const std::vector<Point>& ports,
                                             cv::Rect2d picture_px,
                                             const TypeSizes& sizes,
                                             const PictureDetail& detail) {
  std::vector<Polyline> lines(marks.size());
  const Seen seen{detail, picture_px.tl()};
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (!marks[i].on_picture) continue;
    lines[i] = {marks[i].badge, ports[i]};
    Bend(lines, i, marks, picture_px, sizes, seen);
    // The numeral alone leads there as well; lines that cross lead astray.
    if (!IsFree(lines, i, marks, sizes)) lines[i].clear();
  }
  return lines;
}

}  // namespace ohmglow::internal
