// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/check_curves.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include "picture/axis.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr double kLeastSpanPx = 0.2;  // A camera at rest shall look at rest.
// Vermilion and blue of Okabe, Ito 2008 (Color Universal Design), told apart by
// the colour-blind; the second is dashed as well.
constexpr Color kFirst{0.84, 0.37, 0.0, 1};
constexpr Color kSecond{0.0, 0.45, 0.70, 1};

struct Curve {
  std::string name;
  std::vector<double> values;  // One a frame; NaN: left out.
};

struct Plot {
  std::string title;
  std::vector<Curve> curves;
  double low = 0, high = 0;
  bool with_limit = false;
};

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

Curve MakeCurve(const RegistrationCheck& check, const std::string& name, auto&& value_of) {
  Curve curve{name, {}};
  for (const FrameState& frame : check.alignment.frames) {
    curve.values.push_back(frame.used ? value_of(frame) : kNone);
  }
  return curve;
}

void SetRange(Plot& plot, double least_low, double least_high) {
  plot.low = least_low;
  plot.high = least_high;
  for (const Curve& curve : plot.curves) {
    for (const double v : curve.values) {
      if (!std::isfinite(v)) continue;
      plot.low = std::min(plot.low, v);
      plot.high = std::max(plot.high, v);
    }
  }
  const double room = 0.08 * (plot.high - plot.low);
  if (plot.low < 0) plot.low -= room;
  plot.high += room;
}

std::vector<Plot> MakePlots(const RegistrationCheck& check, const Words& words) {
  const cv::Size size = check.static_k.size();
  const double corner_px = 0.5 * std::hypot(size.width - 1.0, size.height - 1.0);
  constexpr double kRadPerDeg = std::numbers::pi / 180;
  const auto motion = [](const FrameState& f) { return f.frame_from_reference; };
  std::vector<Plot> plots(3);
  plots[0].title = words.Get("align.plot_shift");
  plots[0].curves = {
      MakeCurve(
          check, words.Get("align.right"), [&](const FrameState& f) { return motion(f).dx_px; }),
      MakeCurve(
          check, words.Get("align.down"), [&](const FrameState& f) { return motion(f).dy_px; })};
  plots[1].title = words.Get("align.plot_turn");
  plots[1].curves = {MakeCurve(check,
                               words.Get("align.turn"),
                               [&](const FrameState& f) {
                                 return motion(f).rotation_deg * kRadPerDeg * corner_px;
                               }),
                     MakeCurve(check, words.Get("align.closer"), [&](const FrameState& f) {
                       return std::log(motion(f).scale) * corner_px;
                     })};
  plots[2].title = words.Get("align.plot_error");
  plots[2].curves = {MakeCurve(check, "", [](const FrameState& f) { return f.residual_px; })};
  plots[2].with_limit = true;
  SetRange(plots[0], -kLeastSpanPx, kLeastSpanPx);
  SetRange(plots[1], -kLeastSpanPx, kLeastSpanPx);
  SetRange(plots[2], 0, 1.5 * kHoldsPx);
  return plots;
}

std::string SignedText(double value, const Words& words) {
  return (value < 0 ? "\u2212" : "") + DigitsText(std::abs(value), 3, words);
}

// One plot's box and its scales.
class Axes {
 public:
  Axes(cv::Rect2d box, const Plot& plot, double first_s, double last_s)
      : box_(box), plot_(&plot), first_s_(first_s), span_s_(std::max(last_s - first_s, 1e-9)) {}

  [[nodiscard]] double X(double time_s) const {
    return box_.x + box_.width * (time_s - first_s_) / span_s_;
  }
  [[nodiscard]] double Y(double value) const {
    return box_.br().y - box_.height * (value - plot_->low) / (plot_->high - plot_->low);
  }
  [[nodiscard]] const cv::Rect2d& box() const { return box_; }

 private:
  cv::Rect2d box_;
  const Plot* plot_;
  double first_s_;
  double span_s_;
};

void DrawScale(Canvas& canvas,
               const Plot& plot,
               const Axes& axes,
               const TypeSizes& sizes,
               const Words& words) {
  const Color grid{0.85, 0.86, 0.87, 1};
  const double step = RoundStep(plot.high - plot.low, 3.5);
  const TextStyle style{0.8 * sizes.card_px, false, kInk, 1, TextAlign::kEnd};
  for (double v = std::ceil(plot.low / step) * step; v <= plot.high; v += step) {
    const double y = axes.Y(v);
    const bool zero = std::abs(v) < 0.01 * step;
    canvas.Line({{axes.box().x, y}, {axes.box().br().x, y}}, {zero ? kSoftInk : grid, 1, {}});
    canvas.Text(zero ? "0" : SignedText(RoundDigits(v, 4), words),
                {axes.box().x - 4 * sizes.card_px,
                 y - 0.6 * sizes.card_px,
                 3.6 * sizes.card_px,
                 1.4 * sizes.card_px},
                style);
  }
}

void DrawCurve(Canvas& canvas,
               const RegistrationCheck& check,
               const Curve& curve,
               const Axes& axes,
               const Stroke& stroke) {
  std::vector<Point> line;
  const auto flush = [&] {
    if (line.size() > 1) canvas.Line(line, stroke);
    line.clear();
  };
  for (std::size_t n = 0; n < curve.values.size(); ++n) {
    if (!std::isfinite(curve.values[n])) {
      flush();
      continue;
    }
    line.push_back({axes.X(check.frame_times_s[n]), axes.Y(curve.values[n])});
  }
  flush();
}

// Title and the curves' names behind it, each with a piece of its line.
void DrawLegend(Canvas& canvas,
                const Plot& plot,
                Point corner,
                const std::vector<Stroke>& strokes,
                const TypeSizes& sizes,
                const Words& words) {
  const TextStyle bold{0.85 * sizes.card_px, true, kInk, 1};
  const TextStyle plain{0.85 * sizes.card_px, false, kInk, 1};
  double x = corner.x;
  const auto write = [&](const std::string& text, const TextStyle& style) {
    const double width = Canvas::Measure(text, 0, style).width;
    canvas.Text(text, {x, corner.y, width + 2, 1.5 * sizes.card_px}, style);
    x += width;
  };
  write(plot.title, bold);
  for (std::size_t i = 0; i < plot.curves.size(); ++i) {
    if (plot.curves[i].name.empty()) continue;
    x += sizes.gap_px;
    const double y = corner.y + 0.6 * sizes.card_px;
    canvas.Line({{x, y}, {x + 2 * sizes.gap_px, y}}, strokes[i]);
    x += 2.3 * sizes.gap_px;
    write(plot.curves[i].name, plain);
  }
  if (plot.with_limit) {
    x += sizes.gap_px;
    write(words.Get("align.limit"), plain);
  }
}

void DrawEvents(Canvas& canvas, const RegistrationCheck& check, const Axes& axes) {
  const auto& frames = check.alignment.frames;
  const cv::Rect2d& box = axes.box();
  int segment = -1;
  for (std::size_t n = 0; n < frames.size(); ++n) {
    const double x = axes.X(check.frame_times_s[n]);
    if (!frames[n].used) {
      canvas.Line({{x, box.br().y}, {x, box.br().y - 6}}, {kInk, 1.5, {}});
      continue;
    }
    if (segment >= 0 && frames[n].segment != segment) {
      canvas.Line({{x, box.y}, {x, box.br().y}}, {kSoftInk, 1.2, {2, 4}});
    }
    segment = frames[n].segment;
  }
}

void DrawTimes(Canvas& canvas,
               const Axes& axes,
               double first_s,
               double last_s,
               const TypeSizes& sizes,
               const Words& words) {
  const double step = RoundStep(std::max(last_s - first_s, 1e-6), 10);
  const TextStyle style{0.8 * sizes.card_px, false, kInk, 1};
  for (double t = std::ceil(first_s / step) * step; t <= last_s; t += step) {
    const double y = axes.box().br().y;
    canvas.Line({{axes.X(t), y}, {axes.X(t), y + 5}}, {kInk, 1, {}});
    canvas.TextCentred(
        std::abs(t) < 0.01 * step ? "0 s" : SignedText(RoundDigits(t, 6), words) + " s",
        {axes.X(t), y + 0.9 * sizes.card_px},
        style);
  }
}

}  // namespace

void DrawMotionCurves(Canvas& canvas,
                      const RegistrationCheck& check,
                      cv::Rect box,
                      const TypeSizes& sizes,
                      const Words& words) {
  if (check.frame_times_s.empty()) return;
  const double first_s = check.frame_times_s.front();
  const double last_s = check.frame_times_s.back();
  const std::vector<Plot> plots = MakePlots(check, words);
  const double legend_px = 1.4 * sizes.card_px;
  const double left_px = 4 * sizes.card_px;
  const double right_px = 1.5 * sizes.card_px;  // Half of the last time's text.
  const double times_px = 1.6 * sizes.card_px;
  const double each_px = (box.height - times_px) / static_cast<double>(plots.size());
  const std::vector<Stroke> strokes{{kFirst, 1.3 * sizes.line_px * 0.6, {}},
                                    {kSecond, 1.3 * sizes.line_px * 0.6, {9, 4}}};
  for (std::size_t i = 0; i < plots.size(); ++i) {
    const double top = box.y + static_cast<double>(i) * each_px;
    const Axes axes({box.x + left_px,
                     top + legend_px,
                     box.width - left_px - right_px,
                     each_px - legend_px - 0.4 * sizes.card_px},
                    plots[i],
                    first_s,
                    last_s);
    DrawScale(canvas, plots[i], axes, sizes, words);
    DrawLegend(canvas, plots[i], {axes.box().x, top}, strokes, sizes, words);
    canvas.Clip(axes.box());
    DrawEvents(canvas, check, axes);
    if (plots[i].with_limit) {
      const double y = axes.Y(kHoldsPx);
      canvas.Line({{axes.box().x, y}, {axes.box().br().x, y}}, {kSoftInk, 1.5, {10, 6}});
    }
    for (std::size_t k = 0; k < plots[i].curves.size(); ++k) {
      DrawCurve(canvas, check, plots[i].curves[k], axes, strokes[k]);
    }
    canvas.Unclip();
    if (i + 1 == plots.size()) DrawTimes(canvas, axes, first_s, last_s, sizes, words);
  }
}

}  // namespace ohmglow::internal
