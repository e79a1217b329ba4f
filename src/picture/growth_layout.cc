// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/growth_layout.h"

#include <algorithm>
#include <cmath>

#include "ohmglow/version.h"
#include "picture/answer_words.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr int kWidthPx = 1600;
constexpr double kRisePx = 330;
constexpr double kAreaPx = 170;
constexpr double kCurrentPx = 130;
constexpr double kLevelsPx = 400;
constexpr double kTimeShare = 0.6;  // Of the width, for the plots against time.

std::string Headline(const LocateResult& result, std::size_t place, const Words& words) {
  const Candidate& candidate = result.candidates[place - 1];
  return words.Fill("growth.title",
                    {{"place", std::to_string(place)}, {"name", PlaceName(candidate, words)}});
}

std::string Detail(const LocateResult& result, const Candidate& candidate, const Words& words) {
  const bool relative = result.values == FrameValues::kRelative;
  std::string text =
      relative
          ? words.Fill("growth.detail_relative",
                       {{"percent", DigitsText(100 * candidate.rise_k, 2, words)}})
          : words.Fill(
                "growth.detail",
                {{"rise", KelvinText(candidate.rise_k, words)},
                 {"power",
                  WattsRangeText(
                      candidate.power_w, candidate.power_low_w, candidate.power_high_w, words)}});
  text =
      ListText({text, SideWords(candidate.side, words)}, words, "list.semicolon", "list.semicolon");
  if (!candidate.onset_s) return text + ".";
  return words.Fill("growth.onset",
                    {{"start", text}, {"time", DigitsText(*candidate.onset_s, 3, words)}});
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

double LayOutHeader(GrowthLayout& layout,
                    const LocateResult& result,
                    std::size_t place,
                    const Words& words) {
  const TypeSizes& sizes = layout.sizes;
  const double width = layout.canvas_px.width - 2 * sizes.gap_px;
  layout.headline = {Unbroken(Headline(result, place, words)),
                     {sizes.gap_px, sizes.gap_px, width, 0},
                     {0.8 * sizes.headline_px, true, kInk, 2}};
  const double y = Fit(layout.headline) + 0.3 * sizes.gap_px;
  layout.detail = {Unbroken(Detail(result, result.candidates[place - 1], words)),
                   {sizes.gap_px, y, width, 0},
                   {sizes.card_px, false, kInk, 2}};
  return Fit(layout.detail) + sizes.gap_px;
}

// Room for the numbers of an axis.
double LeftOf(const TypeSizes& sizes) { return 4 * sizes.card_px; }

double LayOutTimes(GrowthLayout& layout,
                   const GrowthNumbers& numbers,
                   const Words& words,
                   double y) {
  const TypeSizes& sizes = layout.sizes;
  const double x = sizes.gap_px + LeftOf(sizes);
  const double width = kTimeShare * layout.canvas_px.width - x - sizes.gap_px;
  const bool relative = numbers.rise_unit == "%";
  y = Place(layout.rise,
            relative ? words.Get("growth.rise_relative")
                     : words.Fill("growth.rise", {{"unit", numbers.rise_unit}}),
            {x, y},
            {width, kRisePx},
            sizes) +
      0.7 * sizes.gap_px;
  y = Place(layout.area, words.Get("growth.area"), {x, y}, {width, kAreaPx}, sizes) +
      0.7 * sizes.gap_px;
  Place(layout.current, words.Get("growth.current"), {x, y}, {width, kCurrentPx}, sizes);
  layout.time_label = UnderAxis(words.Get("growth.time"), layout.current.plot, sizes);
  return layout.time_label.box.br().y;
}

double LayOutLevels(GrowthLayout& layout,
                    const Candidate& candidate,
                    const GrowthNumbers& numbers,
                    const Words& words,
                    double y) {
  const TypeSizes& sizes = layout.sizes;
  const double x = kTimeShare * layout.canvas_px.width + LeftOf(sizes) + sizes.gap_px;
  const double width = layout.canvas_px.width - x - 2 * sizes.gap_px;
  Place(layout.levels,
        // The narrow panel holds the sign alone; the one beside it says of what.
        words.Fill("growth.against", {{"unit", numbers.rise_unit}}),
        {x, y},
        {width, kLevelsPx},
        sizes);
  layout.current_label = UnderAxis(words.Get("growth.amps"), layout.levels.plot, sizes);
  const double left = x - LeftOf(sizes);
  const double across = layout.canvas_px.width - left - sizes.gap_px;
  layout.words = {
      // Of a plot that shows nothing, nothing is read.
      numbers.levels.empty() ? std::string() : Unbroken(ExponentWords(candidate, words)),
      {left, layout.current_label.box.br().y + 0.7 * sizes.gap_px, across, 0},
      {0.92 * sizes.card_px, false, kInk, 4}};
  y = Fit(layout.words) + 0.6 * sizes.gap_px;
  layout.legend = {
      words.Get("growth.legend"), {left, y, across, 0}, {0.82 * sizes.card_px, false, kSoftInk, 6}};
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
                          const GrowthNumbers& numbers,
                          const Words& words) {
  GrowthLayout layout;
  layout.canvas_px.width = kWidthPx;
  layout.sizes = TypeSizes(kWidthPx);
  const TypeSizes& sizes = layout.sizes;
  const double top = LayOutHeader(layout, result, place, words);
  const double times_end = LayOutTimes(layout, numbers, words, top);
  const double levels_end = LayOutLevels(layout, result.candidates[place - 1], numbers, words, top);
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
