// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/compare_tags.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmglow::internal {
namespace {

constexpr int kNumAngles = 24;
constexpr double kWordsDropped = 60;  // Worth this much of a penalty to have them.
constexpr Color kTagPaper{1, 1, 1, 0.9};

double Distance(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

double DistanceToBox(Point p, const cv::Rect2d& box) {
  const double dx = std::max({box.x - p.x, 0.0, p.x - box.br().x});
  const double dy = std::max({box.y - p.y, 0.0, p.y - box.br().y});
  return std::hypot(dx, dy);
}

cv::Rect2d Grown(const cv::Rect2d& box, double by_px) {
  return {box.x - by_px, box.y - by_px, box.width + 2 * by_px, box.height + 2 * by_px};
}

/// A try at one tag.
struct Spot {
  Point disc;
  cv::Rect2d box;
  bool words_left = false;
  bool with_words = false;
  double penalty = std::numeric_limits<double>::infinity();
};

cv::Rect2d BoxAt(Point disc, double words_px, bool words_left, const TypeSizes& sizes) {
  const double r = sizes.badge_radius_px;
  const double left = words_left ? words_px : 0;
  return {disc.x - r - left, disc.y - r, 2 * r + words_px, 2 * r};
}

// Leaving the picture or covering another tag counts most, then covering a
// place, then its ring.
double Penalty(const std::vector<Tag>& tags,
               std::size_t self,
               const cv::Rect2d& box,
               cv::Size size_px,
               const TypeSizes& sizes) {
  const cv::Rect2d inside({0, 0}, cv::Size2d(size_px));
  const double line_px = sizes.line_px;
  double penalty = (Grown(box, line_px) & inside).area() < Grown(box, line_px).area() ? 500 : 0;
  for (std::size_t i = 0; i < tags.size(); ++i) {
    const Mark& mark = tags[i].mark;
    if (!mark.on_picture) continue;
    const double gap_px = DistanceToBox(mark.center, box);
    if (gap_px < 0.5 * mark.radius_px) penalty += 300;
    if (gap_px < mark.radius_px + line_px) penalty += 100;
    if (i < self && (Grown(box, 2 * line_px) & tags[i].box).area() > 0) penalty += 400;
  }
  return penalty;
}

double WordsWidth(const Tag& tag, const TypeSizes& sizes) {
  if (tag.words.empty()) return 0;
  return Canvas::Measure(tag.words, 0, TagStyle(sizes)).width + 0.9 * sizes.gap_px;
}

Spot FindSpot(const std::vector<Tag>& tags,
              std::size_t self,
              cv::Size size_px,
              const TypeSizes& sizes) {
  const Mark& mark = tags[self].mark;
  const double words_px = WordsWidth(tags[self], sizes);
  Spot best;
  const auto consider = [&](Point disc, bool words_left, bool with_words, double extra) {
    Spot spot{
        disc, BoxAt(disc, with_words ? words_px : 0, words_left, sizes), words_left, with_words};
    spot.penalty = Penalty(tags, self, spot.box, size_px, sizes) + extra +
                   (with_words || words_px == 0 ? 0 : kWordsDropped);
    if (spot.penalty < best.penalty) best = spot;
  };
  for (const double stretch : {1.0, 1.6, 2.4, 3.6, 5.2, 7.5, 11.0}) {
    const double reach =
        mark.radius_px + 2 * sizes.line_px + stretch * (sizes.badge_radius_px + sizes.line_px);
    for (int k = 0; k < kNumAngles; ++k) {
      const double angle = 2 * CV_PI * k / kNumAngles;
      const Point direction(std::cos(angle), std::sin(angle));
      const double extra = 3 * (1 - direction.dot(Point(0.7, -0.7))) + 6 * (stretch - 1);
      for (const bool words_left : {false, true}) {
        consider(mark.center + reach * direction, words_left, true, extra);
      }
      consider(mark.center + reach * direction, false, false, extra);
    }
  }
  return best;
}

void DrawTie(Canvas& canvas, const Mark& mark, const TypeSizes& sizes) {
  const double distance = Distance(mark.badge, mark.center);
  if (distance <= mark.radius_px + sizes.badge_radius_px) return;
  const Point direction = (mark.badge - mark.center) * (1 / distance);
  const std::vector<Point> tie{mark.center + mark.radius_px * direction, mark.badge};
  canvas.Line(tie, {kPaper, 3 * sizes.line_px, {}});
  canvas.Line(tie, {kInk, sizes.line_px, {}});
}

void DrawWords(Canvas& canvas, const Tag& tag, const TypeSizes& sizes) {
  if (tag.words.empty()) return;
  const double r = sizes.badge_radius_px;
  const TextStyle style = TagStyle(sizes);
  const double height = 1.5 * style.size_px;
  // From the disc's middle, so that no gap shows between them.
  const double start = tag.words_left ? tag.box.x : tag.mark.badge.x;
  const double end = tag.words_left ? tag.mark.badge.x : tag.box.br().x;
  const double top = tag.mark.badge.y - 0.5 * height;
  canvas.FillBox({start, top, end - start, height}, kTagPaper);
  const double text_x =
      tag.words_left ? tag.box.x + 0.5 * sizes.gap_px : tag.mark.badge.x + r + 0.4 * sizes.gap_px;
  canvas.Text(tag.words, {text_x, tag.mark.badge.y - 0.6 * style.size_px, 0, height}, style);
}

}  // namespace

TextStyle TagStyle(const TypeSizes& sizes) { return {0.95 * sizes.card_px, true, kInk, 1}; }

void PlaceTags(std::vector<Tag>& tags, cv::Size picture_size_px, const TypeSizes& sizes) {
  for (std::size_t i = 0; i < tags.size(); ++i) {
    Tag& tag = tags[i];
    if (!tag.mark.on_picture) continue;
    const Spot spot = FindSpot(tags, i, picture_size_px, sizes);
    tag.mark.badge = spot.disc;
    tag.box = spot.box;
    tag.words_left = spot.words_left;
    if (!spot.with_words) tag.words.clear();
  }
}

void DrawLetter(Canvas& canvas,
                Point center,
                const std::string& letter,
                bool may_be_fault,
                const TypeSizes& sizes) {
  const double r = sizes.badge_radius_px;
  canvas.FillCircle(center, r, may_be_fault ? kPaper : kSoftInk);
  canvas.FillCircle(center, r - 0.8 * sizes.line_px, may_be_fault ? kStrong : kWeak);
  TextStyle style;
  style.size_px = sizes.numeral_px * (letter.size() > 1 ? 0.7 : 1.0);
  style.bold = may_be_fault;
  style.color = may_be_fault ? kStrongText : kWeakText;
  canvas.TextCentred(letter, center, style);
}

void DrawTags(Canvas& canvas, const std::vector<Tag>& tags, const TypeSizes& sizes) {
  std::vector<Mark> marks;
  marks.reserve(tags.size());
  for (const Tag& tag : tags) marks.push_back(tag.mark);
  DrawRings(canvas, marks, sizes);
  for (const Tag& tag : tags) {
    if (!tag.mark.on_picture) continue;
    DrawTie(canvas, tag.mark, sizes);
    DrawWords(canvas, tag, sizes);
    DrawLetter(canvas, tag.mark.badge, tag.letter, tag.mark.may_be_fault, sizes);
  }
}

}  // namespace ohmglow::internal
