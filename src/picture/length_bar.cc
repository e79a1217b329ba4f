// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/length_bar.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "words/numbers.h"

namespace ohmglow::internal {
namespace {

constexpr Color kBarPaper{1, 1, 1, 0.82};
// What a bar in an upper corner, where one looks for it last, or a right one must hide less.
constexpr double kUpperCorner = 0.3;
constexpr double kRightCorner = 0.05;

// 1, 2 or 5 times a power of ten, at most `limit`.
double RoundDown125(double limit) {
  const double decade = std::pow(10.0, std::floor(std::log10(limit)));
  for (const double step : {5.0, 2.0}) {
    if (step * decade <= limit * (1 + 1e-9)) return step * decade;
  }
  return decade;
}

TextStyle LabelStyle(const TypeSizes& sizes) { return {sizes.card_px, false, kInk, 1}; }

double Margin(const TypeSizes& sizes) { return 0.45 * sizes.card_px; }

}  // namespace

LengthBar MakeLengthBar(double px_per_mm,
                        double most_px,
                        const TypeSizes& sizes,
                        const Words& words) {
  const double length_mm = RoundDown125(most_px / px_per_mm);
  LengthBar bar;
  bar.length_px = length_mm * px_per_mm;
  bar.label = DigitsText(length_mm, 2, words) + " mm";
  const cv::Size2d label_px = Canvas::Measure(bar.label, 0, LabelStyle(sizes));
  bar.size_px = {bar.length_px + 0.5 * sizes.card_px + label_px.width, 1.3 * sizes.card_px};
  return bar;
}

double DrawLengthBar(Canvas& canvas, Point corner, const LengthBar& bar, const TypeSizes& sizes) {
  const double middle = corner.y + 0.65 * sizes.card_px;
  const double tick = 0.35 * sizes.card_px;
  const Stroke stroke{kInk, sizes.line_px, {}};
  const double end = corner.x + bar.length_px;
  canvas.Line({{corner.x, middle}, {end, middle}}, stroke);
  canvas.Line({{corner.x, middle - tick}, {corner.x, middle + tick}}, stroke);
  canvas.Line({{end, middle - tick}, {end, middle + tick}}, stroke);
  const double x = end + 0.5 * sizes.card_px;
  canvas.Text(bar.label,
              {x, corner.y, bar.size_px.width - (x - corner.x) + 2, 2 * sizes.card_px},
              LabelStyle(sizes));
  return bar.size_px.width;
}

std::optional<BarOnPicture> PutBar(const LengthBar& bar,
                                   const cv::Rect2d& picture,
                                   const std::vector<cv::Rect2d>& taken,
                                   const TypeSizes& sizes,
                                   const PictureDetail& detail) {
  const double width = bar.size_px.width + 2 * Margin(sizes);
  const double height = bar.size_px.height + Margin(sizes);
  const double in = 0.6 * sizes.gap_px;
  const double right = picture.br().x - in - width;
  const double low = picture.br().y - in - height;
  std::optional<BarOnPicture> best;
  double least = std::numeric_limits<double>::infinity();
  for (const Point corner : {Point(picture.x + in, low),
                             Point(right, low),
                             Point(picture.x + in, picture.y + in),
                             Point(right, picture.y + in)}) {
    const cv::Rect2d paper(corner.x, corner.y, width, height);
    if ((paper & picture).area() < 0.999 * paper.area()) continue;
    if (std::any_of(taken.begin(), taken.end(), [&](const cv::Rect2d& other) {
          return (paper & other).area() > 0;
        })) {
      continue;
    }
    const Point from = corner + Point(0, 0.5 * height) - picture.tl();
    const double hidden = detail.Along(from, from + Point(width, 0), 0.5 * height) +
                          (corner.y < low ? kUpperCorner : 0) +
                          (corner.x == right ? kRightCorner : 0);
    if (hidden < least) {
      least = hidden;
      best = BarOnPicture{bar, paper};
    }
  }
  return best;
}

void DrawBar(Canvas& canvas, const BarOnPicture& bar, const TypeSizes& sizes) {
  canvas.FillBox(bar.paper, kBarPaper);
  DrawLengthBar(canvas, bar.paper.tl() + Point(Margin(sizes), 0.5 * Margin(sizes)), bar.bar, sizes);
}

}  // namespace ohmglow::internal
