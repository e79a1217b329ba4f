// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "ohmglow/base/error.h"
#include "ohmglow/picture/growth_report.h"
#include "picture/canvas.h"
#include "picture/growth_layout.h"
#include "picture/growth_numbers.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace internal {
namespace {

// Vermilion and blue of Okabe, Ito 2008 (Color Universal Design), told apart by
// the colour-blind; dots, lines and steps differ in shape as well.
constexpr Color kFitLine{0.84, 0.37, 0.0, 1};
constexpr Color kFitBand{0.84, 0.37, 0.0, 0.22};
constexpr Color kAreaLine{0.0, 0.45, 0.70, 1};
constexpr Color kGrid{0.85, 0.86, 0.87, 1};
constexpr Color kStepMark{0.60, 0.62, 0.64, 1};
constexpr Color kDot{0.10, 0.11, 0.12, 0.75};

/// A plot's box with its two ranges.
class Axes {
 public:
  Axes(const cv::Rect2d& box, const AxisRange& across, const AxisRange& up)
      : box_(box), across_(across), up_(up) {}

  [[nodiscard]] Point At(Point value) const {
    return {box_.x + box_.width * across_.Share(value.x),
            box_.br().y - box_.height * up_.Share(value.y)};
  }
  [[nodiscard]] std::vector<Point> At(const std::vector<Point>& values) const {
    std::vector<Point> places;
    for (const Point& value : values) places.push_back(At(value));
    return places;
  }
  [[nodiscard]] const cv::Rect2d& box() const { return box_; }
  [[nodiscard]] const AxisRange& across() const { return across_; }
  [[nodiscard]] const AxisRange& up() const { return up_; }

 private:
  cv::Rect2d box_;
  AxisRange across_;
  AxisRange up_;
};

void DrawHeights(Canvas& canvas, const Axes& axes, const TypeSizes& sizes, const Words& words) {
  const cv::Rect2d& box = axes.box();
  const TextStyle style{0.85 * sizes.card_px, false, kInk, 1, TextAlign::kEnd};
  for (const double tick : axes.up().Ticks(box.height / (1.5 * sizes.card_px))) {
    const double y = axes.At(Point(axes.across().low, tick)).y;
    canvas.Line({{box.x, y}, {box.br().x, y}}, {tick == 0 ? kSoftInk : kGrid, 1.2, {}});
    canvas.Text(TickText(tick, words),
                {box.x - 4 * sizes.card_px,
                 y - 0.62 * sizes.card_px,
                 3.7 * sizes.card_px,
                 1.4 * sizes.card_px},
                style);
  }
}

void DrawAcross(Canvas& canvas, const Axes& axes, const TypeSizes& sizes, const Words& words) {
  const cv::Rect2d& box = axes.box();
  const TextStyle style{0.85 * sizes.card_px, false, kInk, 1};
  for (const double tick : axes.across().Ticks(box.width / (3.2 * sizes.card_px))) {
    const double x = axes.At(Point(tick, axes.up().low)).x;
    canvas.Line({{x, box.br().y}, {x, box.br().y + 6}}, {kInk, 1.2, {}});
    canvas.TextCentred(TickText(tick, words), {x, box.br().y + 0.9 * sizes.card_px}, style);
  }
}

void DrawFrame(Canvas& canvas, const cv::Rect2d& box) {
  canvas.Line({box.tl(), {box.x, box.br().y}, box.br()}, {kSoftInk, 1.5, {}});
}

// Where the current changes, through all plots against time.
void DrawStepMarks(Canvas& canvas, const Axes& axes, const GrowthNumbers& numbers) {
  for (std::size_t i = 2; i < numbers.steps.size(); i += 2) {
    if (numbers.steps[i].y == numbers.steps[i - 1].y) continue;
    const double x = axes.At(Point(numbers.steps[i].x, axes.up().low)).x;
    canvas.Line({{x, axes.box().y}, {x, axes.box().br().y}}, {kStepMark, 1.2, {3, 5}});
  }
}

void DrawBanded(Canvas& canvas, const Axes& axes, const BandedCurve& curve, double width_px) {
  if (curve.middle.empty()) return;
  std::vector<Point> around = axes.At(curve.high);
  const std::vector<Point> low = axes.At(curve.low);
  around.insert(around.end(), low.rbegin(), low.rend());
  canvas.FillPolygon(around, kFitBand);
  canvas.Line(axes.At(curve.middle), {kFitLine, width_px, {}});
}

void DrawRise(Canvas& canvas,
              const GrowthLayout& layout,
              const GrowthNumbers& numbers,
              const Words& words) {
  const Axes axes(layout.rise.plot, numbers.time_s, numbers.rise);
  DrawHeights(canvas, axes, layout.sizes, words);
  canvas.Clip(axes.box());
  DrawStepMarks(canvas, axes, numbers);
  DrawBanded(canvas, axes, numbers.fit, layout.sizes.line_px);
  const double spacing_px = axes.box().width / static_cast<double>(numbers.measured.size());
  const double radius_px = std::clamp(0.4 * spacing_px, 2.2, 5.0);
  for (const Point& p : axes.At(numbers.measured)) canvas.FillCircle(p, radius_px, kDot);
  canvas.Unclip();
  DrawFrame(canvas, axes.box());
}

void DrawArea(Canvas& canvas,
              const GrowthLayout& layout,
              const GrowthNumbers& numbers,
              const Words& words) {
  const Axes axes(layout.area.plot, numbers.time_s, numbers.area_mm2);
  DrawHeights(canvas, axes, layout.sizes, words);
  canvas.Clip(axes.box());
  DrawStepMarks(canvas, axes, numbers);
  canvas.Line(axes.At(numbers.area), {kAreaLine, 1.1 * layout.sizes.line_px, {}});
  canvas.Unclip();
  DrawFrame(canvas, axes.box());
}

void DrawCurrent(Canvas& canvas,
                 const GrowthLayout& layout,
                 const GrowthNumbers& numbers,
                 const Words& words) {
  const Axes axes(layout.current.plot, numbers.time_s, numbers.amps_a);
  DrawHeights(canvas, axes, layout.sizes, words);
  DrawAcross(canvas, axes, layout.sizes, words);
  canvas.Clip(axes.box());
  DrawStepMarks(canvas, axes, numbers);
  canvas.Line(axes.At(numbers.steps), {kInk, layout.sizes.line_px, {}});
  canvas.Unclip();
  DrawFrame(canvas, axes.box());
}

void DrawLevels(Canvas& canvas,
                const GrowthLayout& layout,
                const GrowthNumbers& numbers,
                const Words& words) {
  const Axes axes(layout.levels.plot, numbers.amps_a, numbers.level_rise);
  DrawHeights(canvas, axes, layout.sizes, words);
  DrawAcross(canvas, axes, layout.sizes, words);
  canvas.Clip(axes.box());
  DrawBanded(canvas, axes, numbers.power_law, layout.sizes.line_px);
  constexpr double kCapPx = 8;
  for (const LevelBar& level : numbers.levels) {
    const Point low = axes.At(Point(level.amps_a, level.low));
    const Point high = axes.At(Point(level.amps_a, level.high));
    const Stroke stroke{kInk, 2.2, {}};
    canvas.Line({low, high}, stroke);
    for (const Point& end : {low, high}) {
      canvas.Line({{end.x - kCapPx, end.y}, {end.x + kCapPx, end.y}}, stroke);
    }
    canvas.FillCircle(axes.At(Point(level.amps_a, level.rise)), 7, kInk);
  }
  canvas.Unclip();
  DrawFrame(canvas, axes.box());
}

void DrawNothing(Canvas& canvas,
                 const GrowthPanel& panel,
                 const TypeSizes& sizes,
                 const Words& words) {
  DrawFrame(canvas, panel.plot);
  canvas.TextCentred(words.Get("growth.not_measured"),
                     {panel.plot.x + panel.plot.width / 2, panel.plot.y + panel.plot.height / 2},
                     {sizes.card_px, false, kSoftInk, 1});
}

}  // namespace
}  // namespace internal

cv::Mat DrawGrowth(const LocateResult& result, std::size_t place, const Words& words) {
  using namespace internal;
  if (place < 1 || place > result.candidates.size()) {
    throw OptionError("place " + std::to_string(place) + " is not in the result, which lists " +
                      std::to_string(result.candidates.size()));
  }
  const Candidate& candidate = result.candidates[place - 1];
  const GrowthNumbers numbers = MakeGrowthNumbers(result, candidate);
  const GrowthLayout layout = LayOutGrowth(result, place, numbers, words);
  Canvas canvas(layout.canvas_px, kPaper);
  for (const TextBlock* text : layout.texts()) Draw(canvas, *text);
  if (numbers.measured.empty()) {
    for (const GrowthPanel* panel : {&layout.rise, &layout.area, &layout.current}) {
      DrawNothing(canvas, *panel, layout.sizes, words);
    }
  } else {
    DrawRise(canvas, layout, numbers, words);
    DrawArea(canvas, layout, numbers, words);
    DrawCurrent(canvas, layout, numbers, words);
  }
  if (numbers.levels.empty()) {
    DrawNothing(canvas, layout.levels, layout.sizes, words);
  } else {
    DrawLevels(canvas, layout, numbers, words);
  }
  return canvas.ToBgr();
}

}  // namespace ohmglow
