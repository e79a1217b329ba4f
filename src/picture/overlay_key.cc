// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/overlay_key.h"

#include <algorithm>
#include <string>

#include "picture/backdrop.h"

namespace ohmglow::internal {
namespace {

constexpr int kGreySteps = 12;

KeyItem MakeItem(const std::string& text, bool may_be_fault, const TypeSizes& sizes) {
  KeyItem item;
  item.sign.may_be_fault = may_be_fault;
  item.sign.radius_px = (may_be_fault ? 0.45 : 0.27) * sizes.card_px;
  item.words = {Unbroken(text), {}, {0.92 * sizes.card_px, false, kSoftInk, 2}};
  return item;
}

// From dark to bright, from half a letter left of a point on.
void DrawGreys(Canvas& canvas, Point from, const TypeSizes& sizes) {
  const double step_px = 2.4 * sizes.card_px / kGreySteps;
  for (int i = 0; i < kGreySteps; ++i) {
    const double share = static_cast<double>(i) / (kGreySteps - 1);
    const double grey = (kDarkGrey + (kBrightGrey - kDarkGrey) * share) / 255;
    canvas.FillBox({from.x - 0.5 * sizes.card_px + i * step_px,
                    from.y - 0.4 * sizes.card_px,
                    step_px,
                    0.8 * sizes.card_px},
                   {grey, grey, grey, 1});
  }
}

}  // namespace

bool IsDrawnSmaller(const Mark& mark) { return mark.radius_px < 0.98 * mark.area_px; }

std::vector<KeyItem> LayOutKey(const std::vector<Mark>& marks,
                               const std::vector<CloseUp>& close_ups,
                               const std::string& greys,
                               cv::Rect2d& box,
                               const TypeSizes& sizes,
                               const Words& words) {
  const auto is_ring = [](const Mark& mark) { return mark.drawn() && mark.may_be_fault; };
  const auto is_dot = [](const Mark& mark) { return mark.drawn() && !mark.may_be_fault; };
  const bool smaller =
      !close_ups.empty() && std::any_of(marks.begin(), marks.end(), [&](const Mark& m) {
        return is_ring(m) && IsDrawnSmaller(m);
      });
  std::vector<KeyItem> key;
  if (std::any_of(marks.begin(), marks.end(), is_ring)) {
    key.push_back(
        MakeItem(words.Get(smaller ? "overlay.ring_enlarged" : "overlay.ring"), true, sizes));
  }
  if (std::any_of(marks.begin(), marks.end(), is_dot)) {
    key.push_back(MakeItem(words.Get("overlay.dot"), false, sizes));
  }
  if (!greys.empty()) {
    key.push_back(MakeItem(greys, false, sizes));
    key.back().is_grey = true;
  }
  const double sign_px = 1.5 * sizes.card_px;
  Point at = box.tl();
  double line_end = at.y;
  for (KeyItem& item : key) {
    const double indent_px = (item.is_grey ? 2 : 1) * sign_px;
    const double wanted_px =
        Canvas::Measure(item.words.text, 0, item.words.style).width + 2 + indent_px;
    if (at.x > box.x && at.x + wanted_px > box.br().x) {
      at = {box.x, line_end + 0.2 * sizes.card_px};
    }
    item.words.box = {at.x + indent_px, at.y, std::min(wanted_px, box.width) - indent_px, 0};
    line_end = std::max(line_end, Fit(item.words));
    item.sign.center = {at.x + 0.5 * sizes.card_px, at.y + 0.6 * sizes.card_px};
    at.x += wanted_px + 2 * sizes.gap_px;
  }
  box.height = line_end - box.y;
  return key;
}

void DrawKey(Canvas& canvas, const std::vector<KeyItem>& key, const TypeSizes& sizes) {
  for (const KeyItem& item : key) {
    if (item.is_grey) {
      DrawGreys(canvas, item.sign.center, sizes);
    } else {
      DrawRings(canvas, {item.sign}, sizes);
    }
    Draw(canvas, item.words);
  }
}

}  // namespace ohmglow::internal
