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

cv::Mat DrawOverlay(const LocateResult& result,
                    const cv::Mat& photo,
                    const std::vector<Part>& parts) {
  using namespace internal;
  const Backdrop backdrop = MakeBackdrop(result, photo);
  const OverlayLayout layout =
      LayOutOverlay(result, backdrop.map, backdrop.bgr.size(), parts, PictureDetail(backdrop.bgr));
  Canvas canvas(layout.canvas_px, kPaper);
  canvas.PutImage(backdrop.bgr, layout.picture.x, layout.picture.y);
  canvas.Text(layout.headline_text, layout.headline, HeadlineStyle(layout.sizes));
  canvas.Text(layout.detail_text, layout.detail, DetailStyle(layout.sizes));
  DrawRings(canvas, layout.marks, layout.sizes);
  DrawBadges(canvas, layout.marks, layout.sizes);
  for (const CloseUp& one : layout.close_ups) {
    DrawCloseUp(canvas,
                one,
                backdrop.bgr,
                PixelsPerMillimetre(result, backdrop.map, backdrop.bgr.size()),
                layout.sizes);
  }
  DrawCards(canvas, layout);
  DrawFooter(canvas, result, backdrop.map, layout);
  return canvas.ToBgr();
}

}  // namespace ohmglow
