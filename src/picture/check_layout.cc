// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/check_layout.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "ohmglow/version.h"
#include "picture/check_words.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr int kWidthPx = 1600;
constexpr int kStripPx = 250;              // Height of a line through time.
constexpr int kCurvesPx = 430;             // All three plots.
constexpr double kMostPictureRatio = 1.2;  // Height over width of what stands at the bottom.

class Columns {
 public:
  Columns(const TypeSizes& sizes, double width_px)
      : sizes_(sizes),
        column_px_(std::floor((width_px - 3 * sizes.gap_px) / 2)),
        all_px_(std::floor(width_px - 2 * sizes.gap_px)) {}

  [[nodiscard]] double x(int column) const {
    return std::floor(sizes_.gap_px + column * (column_px_ + sizes_.gap_px));
  }
  [[nodiscard]] double column_px() const { return column_px_; }
  [[nodiscard]] double all_px() const { return all_px_; }

 private:
  TypeSizes sizes_;
  double column_px_;
  double all_px_;
};

// Heading, picture, note below each other from `y`; returns the lower end.
double Place(CheckPanel& panel,
             const std::string& heading,
             const std::string& note,
             Point corner,
             double width_px,
             cv::Size picture_px,
             const TypeSizes& sizes) {
  panel.heading = {heading, {corner.x, corner.y, width_px, 0}, {sizes.card_px, true, kInk, 2}};
  const double top = Fit(panel.heading) + 0.25 * sizes.gap_px;
  panel.picture = {static_cast<int>(std::lround(corner.x)),
                   static_cast<int>(std::ceil(top)),
                   picture_px.width,
                   picture_px.height};
  panel.note = {note,
                {corner.x, panel.picture.br().y + 0.25 * sizes.gap_px, width_px, 0},
                {0.82 * sizes.card_px, false, kSoftInk, 3}};
  return Fit(panel.note);
}

cv::Size Fitted(cv::Size source, double width_px) {
  const double most_px = kMostPictureRatio * width_px;
  const double scale =
      std::min(width_px / std::max(source.width, 1), most_px / std::max(source.height, 1));
  return {std::max(1, static_cast<int>(std::floor(scale * source.width))),
          std::max(1, static_cast<int>(std::floor(scale * source.height)))};
}

std::string LineName(const LineInTime& line, const Words& words) {
  return words.Fill(line.is_row ? "align.row" : "align.column",
                    {{"number", std::to_string(line.line)}});
}

double LayOutHeader(CheckLayout& layout, const RegistrationCheck& check, const Words& words) {
  const TypeSizes& sizes = layout.sizes;
  const double width = layout.canvas_px.width - 2 * sizes.gap_px;
  layout.headline = {Unbroken(CheckHeadline(check, words)),
                     {sizes.gap_px, sizes.gap_px, width, 0},
                     {0.8 * sizes.headline_px, true, kInk, 2}};
  const double y = Fit(layout.headline) + 0.3 * sizes.gap_px;
  // A line each: who looks for one of them finds it.
  std::string text;
  for (const std::string& sentence : CheckSentences(check, words)) {
    text += (text.empty() ? "" : "\n") + sentence;
  }
  layout.sentences = {
      Unbroken(text), {sizes.gap_px, y, width, 0}, {0.92 * sizes.card_px, false, kInk, 3}};
  return Fit(layout.sentences);
}

double LayOutStrips(CheckLayout& layout,
                    const RegistrationCheck& check,
                    const Columns& columns,
                    const Words& words,
                    double y) {
  const TypeSizes& sizes = layout.sizes;
  const cv::Size strip(static_cast<int>(columns.column_px()), kStripPx);
  const Words::Values across{{"line", LineName(check.row, words)}};
  const Words::Values down{{"line", LineName(check.column, words)}};
  const auto place = [&](CheckPanel& panel,
                         const std::string& heading,
                         const std::string& note,
                         int column) {
    return Place(panel, heading, note, {columns.x(column), y}, columns.column_px(), strip, sizes);
  };
  const auto get = [&](const char* key) { return words.Get(key); };
  // The longer of both notes decides where the next row begins.
  double left =
      place(layout.row_before, words.Fill("align.as_filmed", across), get("align.runs_down"), 0);
  double right = place(
      layout.row_after, words.Fill("align.registered", across), get("align.runs_down_straight"), 1);
  y = std::max(left, right) + sizes.gap_px;
  left =
      place(layout.column_before, words.Fill("align.as_filmed", down), get("align.runs_right"), 0);
  right = place(layout.column_after,
                words.Fill("align.registered", down),
                get("align.runs_right_straight"),
                1);
  return std::max(left, right) + sizes.gap_px;
}

double LayOutPictures(CheckLayout& layout,
                      const RegistrationCheck& check,
                      cv::Size photo_px,
                      bool on_photo,
                      const Columns& columns,
                      const Words& words,
                      double y) {
  const TypeSizes& sizes = layout.sizes;
  const double bar_px = 5.5 * sizes.card_px;
  const double map_px = columns.column_px() - bar_px;
  const double residual_end = Place(
      layout.residual,
      words.Get(check.values == FrameValues::kRelative ? "align.detail_relative" : "align.detail"),
      words.Get("align.detail_note"),
      {columns.x(0), y},
      columns.column_px(),
      Fitted(check.residual_k.size(), map_px),
      sizes);
  const cv::Rect map = layout.residual.picture;
  layout.color_bar = {map.br().x + 0.6 * sizes.gap_px,
                      map.y + 0.6 * sizes.card_px,
                      1.4 * sizes.gap_px,
                      map.height - 1.2 * sizes.card_px};
  const bool tied = on_photo;
  const double photo_end = Place(layout.photo,
                                 words.Get(tied ? "align.outlines_on_photo" : "align.outlines"),
                                 words.Get(tied ? "align.outlines_note" : "align.give_photo"),
                                 {columns.x(1), y},
                                 columns.column_px(),
                                 Fitted(photo_px, columns.column_px()),
                                 sizes);
  return std::max(residual_end, photo_end);
}

}  // namespace

std::vector<const CheckPanel*> CheckLayout::panels() const {
  return {&row_before, &row_after, &column_before, &column_after, &curves, &residual, &photo};
}

CheckLayout LayOutCheck(const RegistrationCheck& check,
                        cv::Size photo_px,
                        bool on_photo,
                        const Words& words) {
  CheckLayout layout;
  layout.canvas_px.width = kWidthPx;
  layout.sizes = TypeSizes(kWidthPx);
  const TypeSizes& sizes = layout.sizes;
  const Columns columns(sizes, kWidthPx);
  double y = LayOutHeader(layout, check, words) + sizes.gap_px;
  y = LayOutStrips(layout, check, columns, words, y);
  y = Place(layout.curves,
            words.Get("align.motion"),
            words.Get("align.motion_note"),
            {columns.x(0), y},
            columns.all_px(),
            {static_cast<int>(columns.all_px()), kCurvesPx},
            sizes) +
      sizes.gap_px;
  y = LayOutPictures(layout, check, photo_px, on_photo, columns, words, y) + sizes.gap_px;
  const std::string title = CleanText(check.title, 120);
  layout.footer = {title + (title.empty() ? "ohmglow " : "  \u00B7  ohmglow ") + OHMGLOW_VERSION,
                   {sizes.gap_px, y, columns.all_px(), 0},
                   {0.82 * sizes.card_px, false, kSoftInk, 1}};
  layout.canvas_px.height = static_cast<int>(std::ceil(Fit(layout.footer) + sizes.gap_px));
  return layout;
}

}  // namespace ohmglow::internal
