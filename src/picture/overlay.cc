// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <string>

#include "ohmglow/picture/pictures.h"
#include "ohmglow/version.h"
#include "picture/backdrop.h"
#include "picture/overlay_layout.h"
#include "picture/text.h"

namespace ohmglow {
namespace internal {
namespace {

void DrawLeaders(Canvas& canvas, const OverlayLayout& layout) {
  const double line_px = layout.sizes.line_px;
  for (std::size_t i = 0; i < layout.marks.size(); ++i) {
    if (layout.leaders[i].empty()) continue;
    // Thinner where the place is hardly the fault, so that the eye goes to the others.
    const bool strong = layout.marks[i].may_be_fault;
    const double width_px = strong ? line_px : 0.8 * line_px;
    Stroke line{kInk, width_px, {}};
    if (!strong) line.dash_px = {4 * line_px, 2 * line_px};
    canvas.Line(layout.leaders[i], {kPaper, (strong ? 2.6 : 2.0) * line_px, {}});
    canvas.Line(layout.leaders[i], line);
  }
}

void DrawCards(Canvas& canvas, const OverlayLayout& layout) {
  for (const Card& card : layout.cards) {
    DrawBadge(canvas, card.badge, card.rank, card.may_be_fault, layout.sizes);
    cv::Rect2d line = card.text;
    for (std::size_t i = 0; i < card.lines.size(); ++i) {
      const TextStyle style = CardStyle(layout.sizes, card.may_be_fault, i);
      canvas.Text(card.lines[i], line, style);
      line.y += Canvas::Measure(card.lines[i], line.width, style).height;
    }
  }
}

void DrawFooter(Canvas& canvas,
                const LocateResult& result,
                const PictureMap& map,
                const OverlayLayout& layout) {
  const TypeSizes& sizes = layout.sizes;
  double x = layout.footer.x;
  if (const auto px_per_mm = PixelsPerMillimetre(result, map, layout.picture.size())) {
    const double most_px = std::min(0.25 * layout.canvas_px.width, 0.5 * layout.picture.width);
    x += DrawLengthBar(canvas, layout.footer.tl(), *px_per_mm, most_px, sizes) + 2 * sizes.gap_px;
  }
  std::string text = CleanText(result.title, 120);
  text += (text.empty() ? "ohmglow " : "  \u00B7  ohmglow ") + std::string(OHMGLOW_VERSION);
  const std::size_t hidden =
      result.candidates.size() - std::min(result.candidates.size(), layout.marks.size());
  if (hidden > 0) text = std::to_string(hidden) + " more in the list  \u00B7  " + text;
  canvas.Text(text,
              {x, layout.footer.y, layout.footer.br().x - x, layout.footer.height},
              {sizes.card_px, false, kSoftInk, 1});
}

}  // namespace
}  // namespace internal

cv::Mat DrawOverlay(const LocateResult& result, const cv::Mat& photo) {
  using namespace internal;
  const Backdrop backdrop = MakeBackdrop(result, photo);
  const OverlayLayout layout =
      LayOutOverlay(result, backdrop.map, backdrop.bgr.size(), PictureDetail(backdrop.bgr));
  Canvas canvas(layout.canvas_px, kPaper);
  canvas.PutImage(backdrop.bgr, layout.picture.x, layout.picture.y);
  canvas.Text(layout.headline_text, layout.headline, HeadlineStyle(layout.sizes));
  canvas.Text(layout.detail_text, layout.detail, DetailStyle(layout.sizes));
  DrawLeaders(canvas, layout);
  DrawRings(canvas, layout.marks, layout.sizes);
  DrawBadges(canvas, layout.marks, layout.sizes);
  DrawCards(canvas, layout);
  DrawFooter(canvas, result, backdrop.map, layout);
  return canvas.ToBgr();
}

}  // namespace ohmglow
