// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "base/median.h"
#include "ohmglow/picture/pictures.h"
#include "ohmglow/version.h"
#include "picture/answer_words.h"
#include "picture/backdrop.h"
#include "picture/color_scale.h"
#include "picture/heat_picture.h"
#include "picture/length_bar.h"
#include "picture/marks.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace internal {
namespace {

constexpr double kLeastBodyPx = 1000;
constexpr double kBarShare = 0.19;  // Width of the colour bar's margin, of the body's.

struct MapLayout {
  TypeSizes sizes{1000};
  cv::Size canvas_px;
  cv::Rect body;
  cv::Rect2d bar;
};

MapLayout LayOutMap(cv::Size body_px) {
  MapLayout layout;
  const double margin_px = std::max(kBarShare * body_px.width, 150.0);
  const double width_px = body_px.width + margin_px;
  layout.sizes = TypeSizes(width_px);
  const TypeSizes& sizes = layout.sizes;
  const double top = sizes.gap_px * 1.6 + 1.4 * sizes.headline_px + 1.4 * sizes.detail_px;
  layout.body = {{0, static_cast<int>(std::ceil(top))}, body_px};
  layout.canvas_px = {
      static_cast<int>(std::lround(width_px)),
      static_cast<int>(std::ceil(top + body_px.height + 2 * sizes.gap_px + 1.5 * sizes.card_px))};
  layout.bar = {body_px.width + 1.5 * sizes.gap_px,
                top + 0.6 * sizes.card_px,
                2.2 * sizes.gap_px,
                body_px.height - 1.2 * sizes.card_px};
  return layout;
}

// With a true minus sign.
std::string SignedText(double value, const Words& words) {
  return (value < 0 ? "\u2212" : "") + DigitsText(std::abs(value), 3, words);
}

// What a map shows: its values, their noise and unit, and the words above it.
struct Shown {
  Image values;
  double noise = 0;
  std::string unit;
  std::string headline;
  std::string detail;
};

// A handy unit for the scale's top, and what it multiplies by.
struct BarUnit {
  double factor = 1;
  std::string text;
};

BarUnit UnitFor(double high, const std::string& unit) {
  if (unit == "%") return {100, " %"};
  // Kelvin are read in tenths, watts on a bench rather in milliwatts.
  const double whole = unit == "K" ? 0.1 : 1;
  if (high < 1e-3 * whole) return {1e6, " \u00B5" + unit};
  if (high < whole) return {1e3, " m" + unit};
  return {1, " " + unit};
}

void DrawColorBar(Canvas& canvas,
                  const ColorScale& scale,
                  const std::string& unit_name,
                  const MapLayout& layout,
                  const Words& words) {
  const TypeSizes& sizes = layout.sizes;
  const int rows = static_cast<int>(layout.bar.height);
  for (int i = 0; i < rows; ++i) {
    const double value = scale.ValueAt(1 - (i + 0.5) / rows);
    canvas.FillBox({layout.bar.x, std::floor(layout.bar.y) + i, layout.bar.width, 1},
                   scale.At(value));
  }
  const BarUnit unit = UnitFor(scale.high(), unit_name);
  const TextStyle style{sizes.card_px, false, kInk, 1};
  for (const double tick : scale.Ticks(1.6 * sizes.card_px / rows)) {
    const double y = std::floor(layout.bar.y) + rows * (1 - scale.Position(tick));
    const bool is_zero = tick == 0;
    const double start = is_zero ? layout.bar.x : layout.bar.br().x;
    const double end = layout.bar.br().x + 0.6 * sizes.gap_px;
    canvas.Line({{start, y}, {end, y}}, {is_zero ? kPaper : kInk, 1.6 * sizes.line_px, {}});
    canvas.Line({{layout.bar.br().x, y}, {end, y}}, {kInk, sizes.line_px, {}});
    const std::string label = (is_zero ? "0" : SignedText(tick * unit.factor, words)) + unit.text;
    canvas.Text(label,
                {end + 0.3 * sizes.gap_px,
                 y - 0.62 * sizes.card_px,
                 layout.canvas_px.width - end - 0.4 * sizes.gap_px,
                 2 * sizes.card_px},
                style);
  }
}

/// A small square on its corner with the name beside it; a ring would look
/// like a place of heat.
void DrawContacts(Canvas& canvas,
                  const std::vector<MapContact>& contacts,
                  const MapLayout& layout,
                  const PlaneMap& picture_from_frame) {
  const double r = 0.55 * layout.sizes.card_px;
  for (const MapContact& contact : contacts) {
    const Point p = picture_from_frame.Apply(contact.frame_px) + Point(layout.body.tl());
    if (!cv::Rect2d(layout.body).contains(p)) continue;
    const std::vector<Point> square{
        {p.x, p.y - r}, {p.x + r, p.y}, {p.x, p.y + r}, {p.x - r, p.y}, {p.x, p.y - r}};
    canvas.Line(square, {kHalo, 2.4 * layout.sizes.line_px, {}});
    canvas.Line(square, {kPaper, layout.sizes.line_px, {}});
    const std::string name = CleanText(contact.name, 12);
    const TextStyle style{0.9 * layout.sizes.card_px, false, kPaper, 1};
    const cv::Size2d size = Canvas::Measure(name, 0, style);
    const double right = layout.body.br().x - size.width - 4;
    const cv::Rect2d box(
        std::min(p.x + 1.4 * r, right), p.y - 0.5 * size.height, size.width + 4, size.height);
    canvas.FillBox({box.x - 2, box.y, box.width, box.height}, {0.05, 0.05, 0.06, 0.6});
    canvas.Text(name, box, style);
  }
}

void DrawHeader(Canvas& canvas, const Shown& shown, const MapLayout& layout) {
  const TypeSizes& sizes = layout.sizes;
  const double width = layout.canvas_px.width - 2 * sizes.gap_px;
  TextStyle headline{sizes.headline_px, true, kInk, 1};
  canvas.Text(shown.headline, {sizes.gap_px, sizes.gap_px, width, headline.size_px}, headline);
  canvas.Text(shown.detail,
              {sizes.gap_px, sizes.gap_px + 1.3 * sizes.headline_px, width, sizes.detail_px},
              {sizes.detail_px, false, kInk, 1});
}

// "At 2 A", or other words where the current is unknown.
std::string AtTopCurrent(const LocateResult& result,
                         std::string_view otherwise,
                         const Words& words) {
  double amps = 0;
  for (const SupplyLevel& level : result.levels) amps = std::max(amps, level.amps_a);
  if (amps > 0) return words.Fill("map.at_amps", {{"amps", DigitsText(amps, 3, words)}});
  return words.Get(otherwise);
}

Shown ShowResponse(const LocateResult& result, const Words& words) {
  const bool relative = result.values == FrameValues::kRelative;
  Shown shown{result.response_k,
              result.noise_response_k,
              relative ? "%" : "K",
              words.Get("map.response"),
              AtTopCurrent(result, "map.rise", words)};
  if (shown.values.empty()) shown.values = Image(StaticGrey(result).size(), 0.0F);
  if (std::isfinite(shown.noise) && shown.noise > 0) {
    const std::string noise =
        relative
            ? words.Fill("map.of_largest", {{"percent", DigitsText(100 * shown.noise, 2, words)}})
            : KelvinText(shown.noise, words);
    shown.detail = words.Fill("map.uncertain", {{"start", shown.detail}, {"noise", noise}});
  }
  shown.detail = words.Fill("map.cooler", {{"start", shown.detail}});
  return shown;
}

// The middle one of the limits that are known.
double MedianLimit(const Image& limit_w) {
  std::vector<float> known;
  for (const float limit : limit_w) {
    if (std::isfinite(limit)) known.push_back(limit);
  }
  if (known.empty()) return 0;
  return MedianOf(known);
}

Shown ShowPower(const LocateResult& result, const Words& words) {
  Shown shown{result.power_w, result.power_sigma_w, "W", words.Get("map.power"), {}};
  if (shown.values.empty()) shown.values = Image(StaticGrey(result).size(), 0.0F);
  const std::string start = AtTopCurrent(result, "map.heat", words);
  const double limit_w = MedianLimit(result.limit_w);
  shown.detail = limit_w > 0 ? words.Fill("map.this_side_from",
                                          {{"start", start}, {"power", WattsText(limit_w, words)}})
                             : words.Fill("map.this_side", {{"start", start}});
  return shown;
}

void DrawMapFooter(Canvas& canvas,
                   const LocateResult& result,
                   const PictureMap& map,
                   const MapLayout& layout,
                   const Words& words) {
  const TypeSizes& sizes = layout.sizes;
  Point corner(sizes.gap_px, layout.body.br().y + sizes.gap_px);
  if (const auto px_per_mm = PixelsPerMillimetre(result, map, layout.body.size())) {
    const LengthBar bar = MakeLengthBar(*px_per_mm, 0.25 * layout.body.width, sizes, words);
    corner.x += DrawLengthBar(canvas, corner, bar, sizes) + 2 * sizes.gap_px;
  }
  const std::string title = CleanText(result.title, 120);
  canvas.Text(
      title + (title.empty() ? "ohmglow " : "  \u00B7  ohmglow ") + OHMGLOW_VERSION,
      {corner.x, corner.y, layout.canvas_px.width - corner.x - sizes.gap_px, 1.5 * sizes.card_px},
      {sizes.card_px, false, kSoftInk, 1});
}

cv::Mat DrawShown(const LocateResult& result,
                  const Shown& shown,
                  const std::vector<MapContact>& contacts,
                  const Words& words) {
  const int scale =
      std::max(1, static_cast<int>(std::ceil(kLeastBodyPx / std::max(shown.values.cols, 1))));
  const ColorScale colors = HeatScale(shown.values, shown.noise);
  cv::Mat body = HeatPicture(shown.values, colors, scale);
  BlendOutlines(body, result, scale);

  const MapLayout layout = LayOutMap(body.size());
  PictureMap map;
  map.scale = scale;
  map.picture_from_frame = EnlargedFromFrame(scale);
  std::vector<Mark> marks = MakeMarks(result, map, body.size(), layout.sizes);
  PlaceBadges(marks, body.size(), {0.7, -0.7}, layout.sizes);
  for (Mark& mark : marks) {
    mark.center += Point(layout.body.tl());
    mark.badge += Point(layout.body.tl());
  }
  Canvas canvas(layout.canvas_px, kPaper);
  canvas.PutImage(body, layout.body.x, layout.body.y);
  DrawHeader(canvas, shown, layout);
  DrawColorBar(canvas, colors, shown.unit, layout, words);
  DrawContacts(canvas, contacts, layout, map.picture_from_frame);
  // A ring may reach beyond the picture; the words around it stay free.
  canvas.Clip(layout.body);
  DrawRings(canvas, marks, layout.sizes);
  canvas.Unclip();
  DrawBadges(canvas, marks, layout.sizes);
  DrawMapFooter(canvas, result, map, layout, words);
  return canvas.ToBgr();
}

}  // namespace
}  // namespace internal

cv::Mat DrawMap(const LocateResult& result,
                const std::vector<MapContact>& contacts,
                const Words& words) {
  return internal::DrawShown(result, internal::ShowResponse(result, words), contacts, words);
}

cv::Mat DrawPowerMap(const LocateResult& result, const Words& words) {
  return internal::DrawShown(result, internal::ShowPower(result, words), {}, words);
}

}  // namespace ohmglow
