// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/check_layout.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "ohmglow/version.h"
#include "picture/check_words.h"
#include "picture/text.h"

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

std::string LineName(const LineInTime& line) {
  return std::string(line.is_row ? "row " : "column ") + std::to_string(line.line);
}

double LayOutHeader(CheckLayout& layout, const RegistrationCheck& check) {
  const TypeSizes& sizes = layout.sizes;
  const double width = layout.canvas_px.width - 2 * sizes.gap_px;
  layout.headline = {Unbroken(CheckHeadline(check)),
                     {sizes.gap_px, sizes.gap_px, width, 0},
                     {0.8 * sizes.headline_px, true, kInk, 2}};
  const double y = Fit(layout.headline) + 0.3 * sizes.gap_px;
  std::string text;
  for (const std::string& sentence : CheckSentences(check)) {
    text += (text.empty() ? "" : " ") + sentence;
  }
  layout.sentences = {
      Unbroken(text), {sizes.gap_px, y, width, 0}, {0.92 * sizes.card_px, false, kInk, 14}};
  return Fit(layout.sentences);
}

double LayOutStrips(CheckLayout& layout,
                    const RegistrationCheck& check,
                    const Columns& columns,
                    double y) {
  const TypeSizes& sizes = layout.sizes;
  const cv::Size strip(static_cast<int>(columns.column_px()), kStripPx);
  const std::string across = LineName(check.row);
  const std::string down = LineName(check.column);
  const auto place = [&](CheckPanel& panel,
                         const std::string& heading,
                         const std::string& note,
                         int column) {
    return Place(panel, heading, note, {columns.x(column), y}, columns.column_px(), strip, sizes);
  };
  place(layout.row_before,
        "As filmed: " + across,
        "Time runs down. Edges wander where the view moves.",
        0);
  y = place(layout.row_after,
            "Registered: " + across,
            "Time runs down. Edges should run straight.",
            1) +
      sizes.gap_px;
  place(layout.column_before, "As filmed: " + down, "Time runs to the right.", 0);
  return place(layout.column_after,
               "Registered: " + down,
               "Time runs to the right. Edges should run straight.",
               1) +
         sizes.gap_px;
}

double LayOutPictures(CheckLayout& layout,
                      const RegistrationCheck& check,
                      cv::Size photo_px,
                      bool on_photo,
                      const Columns& columns,
                      double y) {
  const TypeSizes& sizes = layout.sizes;
  const double bar_px = 5.5 * sizes.card_px;
  const double map_px = columns.column_px() - bar_px;
  const double residual_end =
      Place(layout.residual,
            check.values == FrameValues::kRelative ? "Fine detail left, % of the scene's spread"
                                                   : "What is left of fine detail",
            "Bright outlines of cool parts: frames do not lie on each other. Spots: heat. Numbers: "
            "pixels that edges seem to wander; pattern and warming edges count too.",
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
  const double photo_end = Place(
      layout.photo,
      tied ? "Outlines of the frame on the photo" : "Outlines of the frame",
      tied ? "The lines should lie on the parts' edges. Those of the frame come from how well "
             "each surface radiates, so not every part has one."
           : "No photo is tied to the frame: give one, with three landmarks or more (see "
             "ohmglow help case).",
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

CheckLayout LayOutCheck(const RegistrationCheck& check, cv::Size photo_px, bool on_photo) {
  CheckLayout layout;
  layout.canvas_px.width = kWidthPx;
  layout.sizes = TypeSizes(kWidthPx);
  const TypeSizes& sizes = layout.sizes;
  const Columns columns(sizes, kWidthPx);
  double y = LayOutHeader(layout, check) + sizes.gap_px;
  y = LayOutStrips(layout, check, columns, y);
  y = Place(layout.curves,
            "Motion of the view",
            "Ticks along the bottom: frames left out. Upright lines: the shutter "
            "closed.",
            {columns.x(0), y},
            columns.all_px(),
            {static_cast<int>(columns.all_px()), kCurvesPx},
            sizes) +
      sizes.gap_px;
  y = LayOutPictures(layout, check, photo_px, on_photo, columns, y) + sizes.gap_px;
  const std::string title = CleanText(check.title, 120);
  layout.footer = {title + (title.empty() ? "ohmglow " : "  \u00B7  ohmglow ") + OHMGLOW_VERSION,
                   {sizes.gap_px, y, columns.all_px(), 0},
                   {0.82 * sizes.card_px, false, kSoftInk, 1}};
  layout.canvas_px.height = static_cast<int>(std::ceil(Fit(layout.footer) + sizes.gap_px));
  return layout;
}

}  // namespace ohmglow::internal
