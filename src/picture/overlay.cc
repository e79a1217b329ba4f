// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <string>

#include "ohmglow/picture/pictures.h"
#include "ohmglow/version.h"
#include "picture/backdrop.h"
#include "picture/overlay_layout.h"
#include "words/shown_text.h"

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
                const OverlayLayout& layout,
                const Words& words) {
  std::string text = CleanText(result.title, 120);
  text += (text.empty() ? "ohmglow " : "  \u00B7  ohmglow ") + std::string(OHMGLOW_VERSION);
  const std::size_t hidden =
      result.candidates.size() - std::min(result.candidates.size(), layout.marks.size());
  if (hidden > 0) {
    text = words.Fill("overlay.more", {{"count", std::to_string(hidden)}}) + "  \u00B7  " + text;
  }
  canvas.Text(text, layout.footer, {0.92 * layout.sizes.card_px, false, kSoftInk, 1});
}

}  // namespace
}  // namespace internal

cv::Mat DrawOverlay(const LocateResult& result,
                    const cv::Mat& photo,
                    const std::vector<Part>& parts,
                    const Words& words) {
  using namespace internal;
  const Backdrop backdrop = MakeBackdrop(result, photo);
  const OverlayLayout layout = LayOutOverlay(
      result, backdrop.map, backdrop.bgr.size(), parts, PictureDetail(backdrop.bgr), words);
  Canvas canvas(layout.canvas_px, kPaper);
  canvas.PutImage(backdrop.bgr, layout.picture.x, layout.picture.y);
  canvas.Text(layout.headline_text, layout.headline, HeadlineStyle(layout.sizes));
  canvas.Text(layout.detail_text, layout.detail, DetailStyle(layout.sizes));
  if (layout.filmed) DrawFilmedArea(canvas, *layout.filmed, layout.picture, layout.sizes);
  if (layout.bar) DrawBar(canvas, *layout.bar, layout.sizes);
  DrawRings(canvas, layout.marks, layout.sizes);
  DrawBadges(canvas, layout.marks, layout.sizes);
  for (const CloseUp& one : layout.close_ups) {
    DrawCloseUp(canvas, one, backdrop.bgr, layout.sizes);
  }
  DrawCards(canvas, layout);
  DrawKey(canvas, layout.key, layout.sizes);
  DrawFooter(canvas, result, layout, words);
  return canvas.ToBgr();
}

}  // namespace ohmglow
