// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/marks.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "picture/segments.h"
#include "picture/words.h"

namespace ohmglow::internal {
namespace {

constexpr double kSigmas = 3;          // Ring radius in standard errors of the place.
constexpr double kLargestRing = 0.12;  // Of the picture's short side.
constexpr int kNumAngles = 32;
constexpr double kDetailPenalty = 40;  // Of a full place.
constexpr double kOneEdge = 0.35;      // A board's edge across a badge hides nothing.

double Distance(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

double Finite(double value) { return std::isfinite(value) ? value : 0; }

Mark MakeMark(const LocateResult& result,
              std::size_t index,
              const PictureMap& map,
              cv::Size size_px,
              const TypeSizes& sizes) {
  const Candidate& candidate = result.candidates[index];
  const double px_per_frame_px =
      std::sqrt(std::abs(cv::determinant(map.picture_from_frame.Jacobian(candidate.frame_px))));
  const double spot_frame_px =
      result.mm_per_pixel > 0 ? 0.5 * Finite(candidate.width_mm) / result.mm_per_pixel : 0;
  const double wanted_px =
      std::max(spot_frame_px, kSigmas * Finite(candidate.sigma_px)) * Finite(px_per_frame_px);

  Mark mark;
  mark.rank = static_cast<int>(index) + 1;
  mark.may_be_fault = MayBeFault(result, candidate);
  mark.center = map.picture_from_frame.Apply(candidate.frame_px);
  if (map.is_photo && candidate.photo_px) {
    mark.center = {(candidate.photo_px->x + 0.5) * map.scale - 0.5,
                   (candidate.photo_px->y + 0.5) * map.scale - 0.5};
  }
  const double cap_px = kLargestRing * std::min(size_px.width, size_px.height);
  const double least_px = sizes.badge_radius_px;
  mark.radius_px = std::clamp(wanted_px + 3 * sizes.line_px, least_px, std::max(least_px, cap_px));
  mark.on_picture = mark.center.x >= 0 && mark.center.y >= 0 &&
                    mark.center.x <= size_px.width - 1 && mark.center.y <= size_px.height - 1;
  return mark;
}

// How badly a badge would sit: covering places, rings or badges counts most,
// then leaving the picture, then distance and direction.
double BadgePenalty(const std::vector<Mark>& marks,
                    std::size_t self,
                    Point badge,
                    cv::Size size_px,
                    const TypeSizes& sizes) {
  const double r = sizes.badge_radius_px;
  const double edge = r + sizes.line_px;
  double penalty = 0;
  if (badge.x < edge || badge.y < edge || badge.x > size_px.width - edge ||
      badge.y > size_px.height - edge) {
    penalty += 400;
  }
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (i == self || !marks[i].on_picture) continue;
    const double to_center = Distance(badge, marks[i].center);
    if (to_center < r + 0.5 * marks[i].radius_px) penalty += 300;
    if (to_center < r + marks[i].radius_px + sizes.line_px) penalty += 100;
    const double to_tie = SegmentDistance(marks[i].center, marks[self].center, badge);
    if (to_tie < marks[i].radius_px + sizes.line_px) penalty += 200;
    if (i < self && Distance(badge, marks[i].badge) < 2 * r + sizes.line_px) penalty += 300;
  }
  return penalty;
}

void StrokeRing(Canvas& canvas,
                const std::vector<Mark>& marks,
                const Mark& mark,
                const Stroke& stroke) {
  // Short pieces, so that any stretch inside a neighbour's ring can be left out.
  const int pieces = 180;
  const double step = 2 * CV_PI / pieces;
  const auto is_free = [&](int k) {
    const double angle = (k + 0.5) * step;
    const Point p = mark.center + mark.radius_px * Point(std::cos(angle), std::sin(angle));
    return std::none_of(marks.begin(), marks.end(), [&](const Mark& other) {
      return other.rank != mark.rank && other.on_picture &&
             Distance(p, other.center) < other.radius_px;
    });
  };
  for (int k = 0; k < pieces;) {
    int end = k;
    while (end < pieces && is_free(end)) ++end;
    if (end > k) canvas.Arc(mark.center, mark.radius_px, k * step, end * step, stroke);
    k = std::max(end, k + 1);
  }
}

}  // namespace

std::vector<Mark> MakeMarks(const LocateResult& result,
                            const PictureMap& map,
                            cv::Size picture_size_px,
                            const TypeSizes& sizes) {
  std::vector<Mark> marks;
  for (std::size_t i = 0; i < std::min(result.candidates.size(), kMaxMarks); ++i) {
    marks.push_back(MakeMark(result, i, map, picture_size_px, sizes));
  }
  return marks;
}

void PlaceBadges(std::vector<Mark>& marks,
                 cv::Size picture_size_px,
                 Point toward,
                 const TypeSizes& sizes,
                 const PictureDetail& detail) {
  for (std::size_t i = 0; i < marks.size(); ++i) {
    Mark& mark = marks[i];
    double best = std::numeric_limits<double>::infinity();
    for (const double stretch : {1.0, 1.8, 2.8, 4.0, 6.0}) {
      for (int k = 0; k < kNumAngles; ++k) {
        const double angle = 2 * CV_PI * k / kNumAngles;
        const Point direction(std::cos(angle), std::sin(angle));
        const double reach =
            mark.radius_px + sizes.line_px + stretch * (sizes.badge_radius_px + sizes.line_px);
        const Point badge = mark.center + reach * direction;
        const double hidden = std::max(0.0, detail.Around(badge, sizes.badge_radius_px) - kOneEdge);
        const double penalty = BadgePenalty(marks, i, badge, picture_size_px, sizes) +
                               kDetailPenalty * hidden + 3 * (1 - direction.dot(toward)) +
                               4 * (stretch - 1);
        if (penalty < best) {
          best = penalty;
          mark.badge = badge;
        }
      }
    }
  }
}

void DrawRings(Canvas& canvas, const std::vector<Mark>& marks, const TypeSizes& sizes) {
  for (const Mark& mark : marks) {
    if (!mark.on_picture) continue;
    const double width_px = sizes.line_px * (mark.may_be_fault ? 1.5 : 0.8);
    const Stroke halo{kHalo, width_px + 1.4 * sizes.line_px, {}};
    Stroke line{mark.may_be_fault ? kRing : kWeakRing, width_px, {}};
    if (!mark.may_be_fault) line.dash_px = {3.5 * sizes.line_px, 2.5 * sizes.line_px};
    StrokeRing(canvas, marks, mark, halo);
    StrokeRing(canvas, marks, mark, line);
  }
}

void DrawBadge(Canvas& canvas, Point center, int rank, bool may_be_fault, const TypeSizes& sizes) {
  const double r = sizes.badge_radius_px;
  canvas.FillCircle(center, r, may_be_fault ? kPaper : kSoftInk);
  canvas.FillCircle(center, r - 0.8 * sizes.line_px, may_be_fault ? kStrong : kWeak);
  TextStyle style;
  style.size_px = sizes.numeral_px;
  style.bold = may_be_fault;
  style.color = may_be_fault ? kStrongText : kWeakText;
  canvas.TextCentred(std::to_string(rank), center, style);
}

void DrawBadges(Canvas& canvas, const std::vector<Mark>& marks, const TypeSizes& sizes) {
  for (const Mark& mark : marks) {
    if (!mark.on_picture) continue;
    const double distance = Distance(mark.badge, mark.center);
    const Point direction = (mark.badge - mark.center) * (1 / std::max(distance, 1.0));
    if (distance > mark.radius_px + 1.5 * sizes.badge_radius_px) {
      const std::vector<Point> tie{mark.center + mark.radius_px * direction, mark.badge};
      canvas.Line(tie, {kPaper, 3 * sizes.line_px, {}});
      canvas.Line(tie, {kInk, sizes.line_px, {}});
    }
  }
  for (const Mark& mark : marks) {
    if (mark.on_picture) DrawBadge(canvas, mark.badge, mark.rank, mark.may_be_fault, sizes);
  }
}

}  // namespace ohmglow::internal
