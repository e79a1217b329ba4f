// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/growth_layout.h"

#include <algorithm>
#include <cmath>

#include "ohmglow/version.h"
#include "picture/answer_words.h"
#include "picture/text.h"

namespace ohmglow::internal {
namespace {

constexpr int kWidthPx = 1600;
constexpr double kRisePx = 330;
constexpr double kAreaPx = 170;
constexpr double kCurrentPx = 130;
constexpr double kLevelsPx = 400;
constexpr double kTimeShare = 0.6;  // Of the width, for the plots against time.

std::string Headline(const LocateResult& result, std::size_t place) {
  const Candidate& candidate = result.candidates[place - 1];
  return "How place " + std::to_string(place) + " warmed: " + PlaceName(candidate);
}

std::string Detail(const LocateResult& result, const Candidate& candidate) {
  std::string text;
  if (result.values == FrameValues::kRelative) {
    text = FormatDigits(100 * candidate.rise_k, 2) +
           " % of the largest rise at the highest current; no temperatures, so no watts";
  } else {
    text = FormatKelvin(candidate.rise_k) + " at the highest current; " +
           FormatPowerRange(candidate.power_w, candidate.power_low_w, candidate.power_high_w);
  }
  text += "; " + SideWords(candidate.side);
  if (candidate.onset_s) {
    text += "; stands out of the noise from " + FormatDigits(*candidate.onset_s, 3) + " s on";
  }
  return text + ".";
}

// Title, then the box; returns the box's lower end.
double Place(GrowthPanel& panel,
             const std::string& title,
             Point corner,
             cv::Size2d plot_px,
             const TypeSizes& sizes) {
  panel.title = {
      title, {corner.x, corner.y, plot_px.width, 0}, {0.95 * sizes.card_px, true, kInk, 1}};
  const double top = Fit(panel.title) + 0.25 * sizes.gap_px;
  panel.plot = {corner.x, top, plot_px.width, plot_px.height};
  return panel.plot.br().y;
}

TextBlock UnderAxis(const std::string& text, const cv::Rect2d& plot, const TypeSizes& sizes) {
  TextBlock block{text,
                  {plot.x, plot.br().y + 1.5 * sizes.card_px, plot.width, 0},
                  {0.9 * sizes.card_px, false, kInk, 1, TextAlign::kCentre}};
  Fit(block);
  return block;
}

double LayOutHeader(GrowthLayout& layout, const LocateResult& result, std::size_t place) {
  const TypeSizes& sizes = layout.sizes;
  const double width = layout.canvas_px.width - 2 * sizes.gap_px;
  layout.headline = {Unbroken(Headline(result, place)),
                     {sizes.gap_px, sizes.gap_px, width, 0},
                     {0.8 * sizes.headline_px, true, kInk, 2}};
  const double y = Fit(layout.headline) + 0.3 * sizes.gap_px;
  layout.detail = {Unbroken(Detail(result, result.candidates[place - 1])),
                   {sizes.gap_px, y, width, 0},
                   {sizes.card_px, false, kInk, 2}};
  return Fit(layout.detail) + sizes.gap_px;
}

// Room for the numbers of an axis.
double LeftOf(const TypeSizes& sizes) { return 4 * sizes.card_px; }

double LayOutTimes(GrowthLayout& layout, const GrowthNumbers& numbers, double y) {
  const TypeSizes& sizes = layout.sizes;
  const double x = sizes.gap_px + LeftOf(sizes);
  const double width = kTimeShare * layout.canvas_px.width - x - sizes.gap_px;
  y = Place(layout.rise, "Rise, " + numbers.rise_unit, {x, y}, {width, kRisePx}, sizes) +
      0.7 * sizes.gap_px;
  y = Place(layout.area,
            "Warm area, mm\u00B2: over half of the largest rise",
            {x, y},
            {width, kAreaPx},
            sizes) +
      0.7 * sizes.gap_px;
  Place(layout.current, "Current of the supply, A", {x, y}, {width, kCurrentPx}, sizes);
  layout.time_label = UnderAxis("Time of the frames, s", layout.current.plot, sizes);
  return layout.time_label.box.br().y;
}

double LayOutLevels(GrowthLayout& layout,
                    const Candidate& candidate,
                    const GrowthNumbers& numbers,
                    double y) {
  const TypeSizes& sizes = layout.sizes;
  const double x = kTimeShare * layout.canvas_px.width + LeftOf(sizes) + sizes.gap_px;
  const double width = layout.canvas_px.width - x - 2 * sizes.gap_px;
  Place(layout.levels,
        // The narrow panel holds the sign alone; the one beside it says of what.
        "Rise against current, " + numbers.rise_unit.substr(0, numbers.rise_unit.find(' ')),
        {x, y},
        {width, kLevelsPx},
        sizes);
  layout.current_label = UnderAxis("Current, A", layout.levels.plot, sizes);
  const double left = x - LeftOf(sizes);
  const double across = layout.canvas_px.width - left - sizes.gap_px;
  layout.words = {Unbroken(ExponentWords(candidate)),
                  {left, layout.current_label.box.br().y + 0.7 * sizes.gap_px, across, 0},
                  {0.92 * sizes.card_px, false, kInk, 4}};
  y = Fit(layout.words) + 0.6 * sizes.gap_px;
  layout.legend = {
      "Left: dots are measured, the line is fitted, shaded its 95 % band; upright lines are steps "
      "of the current. Right: what each level alone would have made of the rise, with 95 % bars.",
      {left, y, across, 0},
      {0.82 * sizes.card_px, false, kSoftInk, 6}};
  return Fit(layout.legend);
}

}  // namespace

std::vector<const TextBlock*> GrowthLayout::texts() const {
  return {&headline,
          &detail,
          &rise.title,
          &area.title,
          &current.title,
          &time_label,
          &levels.title,
          &current_label,
          &legend,
          &words,
          &footer};
}

std::vector<const GrowthPanel*> GrowthLayout::panels() const {
  return {&rise, &area, &current, &levels};
}

GrowthLayout LayOutGrowth(const LocateResult& result,
                          std::size_t place,
                          const GrowthNumbers& numbers) {
  GrowthLayout layout;
  layout.canvas_px.width = kWidthPx;
  layout.sizes = TypeSizes(kWidthPx);
  const TypeSizes& sizes = layout.sizes;
  const double top = LayOutHeader(layout, result, place);
  const double times_end = LayOutTimes(layout, numbers, top);
  const double levels_end = LayOutLevels(layout, result.candidates[place - 1], numbers, top);
  const std::string title = CleanText(result.title, 120);
  layout.footer = {title + (title.empty() ? "ohmglow " : "  \u00B7  ohmglow ") + OHMGLOW_VERSION,
                   {sizes.gap_px,
                    std::max(times_end, levels_end) + 0.7 * sizes.gap_px,
                    kWidthPx - 2 * sizes.gap_px,
                    0},
                   {0.82 * sizes.card_px, false, kSoftInk, 1}};
  layout.canvas_px.height = static_cast<int>(std::ceil(Fit(layout.footer) + sizes.gap_px));
  return layout;
}

}  // namespace ohmglow::internal
