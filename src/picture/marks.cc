// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/marks.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "picture/answer_words.h"
#include "picture/segments.h"

namespace ohmglow::internal {
namespace {

// Radius of the 95 % area of a normal error in the plane: sqrt(-2 ln 0.05) standard
// errors of a coordinate (Rayleigh distribution, NIST/SEMATECH e-Handbook 1.3.6.6).
constexpr double kArea95 = 2.448;
constexpr double kLargestRing = 0.12;  // Of the picture's short side.
constexpr double kLeastRing = 0.7;     // Of a badge's radius: what the eye needs.
constexpr double kDot = 0.4;           // The same, of a place that is no fault.
constexpr double kStretches[] = {1.0, 1.8, 2.8, 4.0, 6.0, 9.0};
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
  const double wanted_px = kArea95 * Finite(candidate.sigma_px) * Finite(px_per_frame_px);

  Mark mark;
  mark.rank = static_cast<int>(index) + 1;
  mark.may_be_fault = MayBeFault(result, candidate);
  mark.center = map.picture_from_frame.Apply(candidate.frame_px);
  if (map.is_photo && candidate.photo_px) {
    mark.center = {(candidate.photo_px->x + 0.5) * map.scale - 0.5,
                   (candidate.photo_px->y + 0.5) * map.scale - 0.5};
  }
  const double cap_px = kLargestRing * std::min(size_px.width, size_px.height);
  const double least_px = kLeastRing * sizes.badge_radius_px;
  mark.area_px = wanted_px;
  mark.radius_px = mark.may_be_fault ? std::clamp(wanted_px, least_px, std::max(least_px, cap_px))
                                     : kDot * sizes.badge_radius_px;
  mark.on_picture = mark.center.x >= 0 && mark.center.y >= 0 &&
                    mark.center.x <= size_px.width - 1 && mark.center.y <= size_px.height - 1;
  return mark;
}

// Half the width of a mark's line with its halo.
double HalfLine(const Mark& mark, const TypeSizes& sizes) {
  return (mark.may_be_fault ? 1.45 : 1.1) * sizes.line_px;
}

double OuterRadius(const Mark& mark, const TypeSizes& sizes) {
  return mark.radius_px + HalfLine(mark, sizes);
}

bool Touch(const Mark& a, const Mark& b, const TypeSizes& sizes) {
  return Distance(a.center, b.center) < OuterRadius(a, sizes) + OuterRadius(b, sizes);
}

// Whether the badge stands so far off that a line must tie it to its mark.
bool IsTied(const Mark& mark, Point badge, const TypeSizes& sizes) {
  return Distance(badge, mark.center) > mark.radius_px + 1.5 * sizes.badge_radius_px;
}

// Two rings that would touch are drawn smaller, the later one first; of other
// marks, the one that is less of a fault, then the later one, is hidden.
void SeparateTwo(Mark& other, Mark& mark, const TypeSizes& sizes) {
  if (!other.may_be_fault || !mark.may_be_fault) {
    const bool earlier_goes = mark.may_be_fault && !other.may_be_fault;
    (earlier_goes ? other.hidden_by : mark.hidden_by) = earlier_goes ? mark.rank : other.rank;
    return;
  }
  const double least_px = kDot * sizes.badge_radius_px;
  const double room_px = Distance(mark.center, other.center) - HalfLine(mark, sizes) -
                         HalfLine(other, sizes) - sizes.line_px;
  if (room_px < 2 * least_px) {
    mark.hidden_by = other.rank;
    return;
  }
  mark.radius_px = std::min(mark.radius_px, std::max(least_px, room_px - other.radius_px));
  other.radius_px = std::min(other.radius_px, room_px - mark.radius_px);
}

void Separate(std::vector<Mark>& marks, const TypeSizes& sizes) {
  for (std::size_t i = 0; i < marks.size(); ++i) {
    for (std::size_t k = 0; k < i && marks[i].drawn(); ++k) {
      if (marks[k].drawn() && Touch(marks[i], marks[k], sizes)) {
        SeparateTwo(marks[k], marks[i], sizes);
      }
    }
  }
}

// Which of a badge, and of the line that ties it, runs over another's mark or badge.
int BadgeTouches(const Mark& mark, Point badge, const Mark& other, const TypeSizes& sizes) {
  const double r = sizes.badge_radius_px;
  int num = Distance(badge, other.center) < r + OuterRadius(other, sizes) ? 1 : 0;
  if (!IsTied(mark, badge, sizes)) return num;
  const double half_px = 1.5 * sizes.line_px;
  const double to_tie = SegmentDistance(other.center, mark.center, badge);
  return num + (to_tie < OuterRadius(other, sizes) + half_px ? 1 : 0);
}

int BadgesTouch(const Mark& a, Point badge, const Mark& b, const TypeSizes& sizes) {
  const double r = sizes.badge_radius_px;
  const double half_px = 1.5 * sizes.line_px;
  int num = Distance(badge, b.badge) < 2 * r ? 1 : 0;
  const bool tied = IsTied(a, badge, sizes);
  const bool other_tied = IsTied(b, b.badge, sizes);
  if (tied && SegmentDistance(b.badge, a.center, badge) < r + half_px) ++num;
  if (other_tied && SegmentDistance(badge, b.center, b.badge) < r + half_px) ++num;
  if (tied && other_tied && SegmentsCross(a.center, badge, b.center, b.badge)) ++num;
  return num;
}

// How badly a badge would sit: touching what is another's counts most, then
// leaving the picture, then distance and direction.
double BadgePenalty(const std::vector<Mark>& marks,
                    std::size_t self,
                    Point badge,
                    cv::Size size_px,
                    const TypeSizes& sizes) {
  const double edge = sizes.badge_radius_px + sizes.line_px;
  double penalty = 0;
  if (badge.x < edge || badge.y < edge || badge.x > size_px.width - edge ||
      badge.y > size_px.height - edge) {
    penalty += 400;
  }
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (i == self || !marks[i].drawn()) continue;
    penalty += 300 * BadgeTouches(marks[self], badge, marks[i], sizes);
    if (i < self) penalty += 300 * BadgesTouch(marks[self], badge, marks[i], sizes);
    // A hair's breadth off is read as touching.
    const double air_px =
        Distance(badge, marks[i].center) - sizes.badge_radius_px - OuterRadius(marks[i], sizes);
    if (air_px < sizes.badge_radius_px) penalty += 2;
  }
  return penalty;
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
  Separate(marks, sizes);
  return marks;
}

void PlaceBadges(std::vector<Mark>& marks,
                 cv::Size picture_size_px,
                 Point toward,
                 const TypeSizes& sizes,
                 const PictureDetail& detail) {
  for (std::size_t i = 0; i < marks.size(); ++i) {
    Mark& mark = marks[i];
    if (mark.hidden_by != 0) continue;
    double best = std::numeric_limits<double>::infinity();
    for (const double stretch : kStretches) {
      for (int k = 0; k < kNumAngles; ++k) {
        const double angle = 2 * CV_PI * k / kNumAngles;
        const Point direction(std::cos(angle), std::sin(angle));
        const double reach =
            OuterRadius(mark, sizes) + stretch * (sizes.badge_radius_px + 0.6 * sizes.line_px);
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

std::vector<cv::Rect2d> BoxesOf(const std::vector<Mark>& marks, const TypeSizes& sizes) {
  std::vector<cv::Rect2d> boxes;
  const auto add = [&](Point center, double radius_px) {
    boxes.emplace_back(center.x - radius_px, center.y - radius_px, 2 * radius_px, 2 * radius_px);
  };
  for (const Mark& mark : marks) {
    if (!mark.drawn()) continue;
    add(mark.center, OuterRadius(mark, sizes));
    add(mark.badge, sizes.badge_radius_px);
    if (IsTied(mark, mark.badge, sizes)) boxes.emplace_back(mark.center, mark.badge);
  }
  return boxes;
}

int NumTouching(const std::vector<Mark>& marks, const TypeSizes& sizes) {
  int num = 0;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (!marks[i].drawn() || !marks[k].drawn()) continue;
      num += Touch(marks[i], marks[k], sizes) ? 1 : 0;
      num += BadgeTouches(marks[i], marks[i].badge, marks[k], sizes);
      num += BadgeTouches(marks[k], marks[k].badge, marks[i], sizes);
      num += BadgesTouch(marks[i], marks[i].badge, marks[k], sizes);
    }
  }
  return num;
}

void DrawRings(Canvas& canvas, const std::vector<Mark>& marks, const TypeSizes& sizes) {
  for (const Mark& mark : marks) {
    if (!mark.drawn()) continue;
    const double width_px = sizes.line_px * (mark.may_be_fault ? 1.5 : 0.8);
    const Color color = mark.may_be_fault ? kRing : kWeakRing;
    for (const Stroke& stroke :
         {Stroke{kHalo, width_px + 1.4 * sizes.line_px, {}}, Stroke{color, width_px, {}}}) {
      canvas.Arc(mark.center, mark.radius_px, 0, 2 * CV_PI, stroke);
    }
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
    if (!mark.drawn() || !IsTied(mark, mark.badge, sizes)) continue;
    const Point direction =
        (mark.badge - mark.center) * (1 / std::max(Distance(mark.badge, mark.center), 1.0));
    const std::vector<Point> tie{mark.center + mark.radius_px * direction, mark.badge};
    canvas.Line(tie, {kPaper, 3 * sizes.line_px, {}});
    canvas.Line(tie, {kInk, sizes.line_px, {}});
  }
  for (const Mark& mark : marks) {
    if (mark.drawn()) DrawBadge(canvas, mark.badge, mark.rank, mark.may_be_fault, sizes);
  }
}

}  // namespace ohmglow::internal
