// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "input/case_remarks.h"
#include "ohmglow/picture/compare_report.h"
#include "picture/backdrop.h"
#include "picture/compare_layout.h"
#include "picture/compare_words.h"
#include "picture/heat_picture.h"
#include "picture/length_bar.h"
#include "words/numbers.h"

namespace ohmglow {
namespace internal {
namespace {

constexpr double kMapWidthPx = 680;
constexpr double kMostMapHeightPx = 1000;
// Grain that differs between the two pictures shall not look like a difference:
// the scale spans this many standard deviations where nothing warms, and reaches
// this far below zero, of its high end, so that grain does not turn deep blue.
constexpr double kNoiseSpan = 40;
constexpr double kCoolShare = 0.25;

int TimesFor(cv::Size size) {
  const double wanted = std::ceil(kMapWidthPx / size.width);
  const double most = std::floor(kMostMapHeightPx / size.height);
  return static_cast<int>(std::clamp(std::min(wanted, most), 1.0, kMapWidthPx));
}

ColorScale ScaleOfBoth(const CompareResult& result) {
  const ColorScale both = CommonScale(HeatScale(result.before_k, result.noise_k),
                                      HeatScale(result.after_k, result.noise_k));
  const double noise_k = std::isfinite(result.noise_k) ? kNoiseSpan * result.noise_k : 0;
  const double high_k = std::max(both.high(), noise_k);
  return CommonScale(both, ColorScale(-kCoolShare * high_k, high_k));
}

/// The second capture's static picture as the first sees it, for its outlines.
LocateResult AfterInView(const CompareResult& result) {
  LocateResult shown;
  const Image& picture_k = result.after.reference_k;
  if (picture_k.empty()) {
    shown.reference_k = result.before.reference_k;
    return shown;
  }
  // The map leads from the target to the source, which is what "inverse" means here.
  cv::warpPerspective(picture_k,
                      shown.reference_k,
                      result.alignment.after_from_before.matrix,
                      result.after_k.size(),
                      cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                      cv::BORDER_REPLICATE);
  return shown;
}

cv::Mat MapPicture(const Image& rise_k, const ColorScale& scale, const LocateResult& outlines) {
  const int times = TimesFor(rise_k.size());
  cv::Mat bgr = HeatPicture(rise_k, scale, times);
  BlendOutlines(bgr, outlines, times);
  HatchUnknown(bgr, rise_k, times);
  return bgr;
}

/// The photo (or static picture) as large as the page has room for.
Backdrop FittedBackdrop(const LocateResult& before, const cv::Mat& photo, cv::Size room_px) {
  Backdrop backdrop = MakeBackdrop(before, photo);
  const double scale = std::min(static_cast<double>(room_px.width) / backdrop.bgr.cols,
                                static_cast<double>(room_px.height) / backdrop.bgr.rows);
  const cv::Size size(std::max(1, static_cast<int>(std::floor(backdrop.bgr.cols * scale))),
                      std::max(1, static_cast<int>(std::floor(backdrop.bgr.rows * scale))));
  cv::resize(backdrop.bgr, backdrop.bgr, size, 0, 0, scale > 1 ? cv::INTER_CUBIC : cv::INTER_AREA);
  backdrop.map.picture_from_frame.matrix =
      EnlargedFromFrame(scale).matrix * backdrop.map.picture_from_frame.matrix;
  backdrop.map.scale *= scale;
  return backdrop;
}

void DrawPanel(Canvas& canvas,
               const ComparePanel& panel,
               const cv::Mat& picture,
               const TypeSizes& sizes) {
  Draw(canvas, panel.heading);
  Draw(canvas, panel.title);
  canvas.PutImage(picture, panel.picture.x, panel.picture.y);
  DrawTags(canvas, panel.tags, sizes);
}

/// Lying, below both maps: it belongs to the two of them.
void DrawLyingBar(Canvas& canvas,
                  const ColorScale& scale,
                  const CompareLayout& layout,
                  const Words& words) {
  const TypeSizes& sizes = layout.sizes;
  const cv::Rect2d bar = layout.color_bar;
  const int columns = static_cast<int>(bar.width);
  for (int i = 0; i < columns; ++i) {
    canvas.FillBox({std::floor(bar.x) + i, bar.y, 1, bar.height},
                   scale.At(scale.ValueAt((i + 0.5) / columns)));
  }
  const bool small = scale.high() < 0.1;
  const double tick_px = 0.4 * sizes.card_px;
  for (const double tick : scale.Ticks(4.2 * sizes.card_px / columns)) {
    const double x = std::floor(bar.x) + columns * scale.Position(tick);
    canvas.Line({{x, bar.br().y}, {x, bar.br().y + tick_px}}, {kInk, sizes.line_px, {}});
    if (tick == 0) {
      canvas.Line({{x, bar.y}, {x, bar.br().y}}, {kPaper, 1.6 * sizes.line_px, {}});
    }
    const std::string number = DigitsText(std::abs(small ? tick * 1e3 : tick), 3, words);
    canvas.TextCentred((tick < 0 ? "\u2212" : "") + number + (small ? " mK" : " K"),
                       {x, bar.br().y + tick_px + 0.7 * sizes.card_px},
                       {sizes.card_px, false, kInk, 1});
  }
}

void DrawScales(Canvas& canvas,
                const CompareResult& result,
                const PictureMap& map,
                const ColorScale& scale,
                const CompareLayout& layout,
                const Words& words) {
  DrawLyingBar(canvas, scale, layout, words);
  std::optional<double> px_per_mm =
      PixelsPerMillimetre(result.before, map, layout.before.picture.size());
  if (!px_per_mm && result.before.mm_per_pixel > 0 && !ScaleIsGuess(result.before.assumed)) {
    px_per_mm = map.scale / result.before.mm_per_pixel;
  }
  if (px_per_mm) {
    const double most_px = layout.length_bar.width - 5 * layout.sizes.card_px;
    const LengthBar bar = MakeLengthBar(*px_per_mm, most_px, layout.sizes, words);
    DrawLengthBar(canvas, layout.length_bar.tl(), bar, layout.sizes);
  }
  Draw(canvas, layout.scale_note);
  if (!layout.with_unseen) return;
  cv::Mat swatch(layout.unseen_swatch.size(), CV_8UC3);
  HatchUnknown(swatch, Image(swatch.size(), std::numeric_limits<float>::quiet_NaN()), 1);
  canvas.PutImage(swatch, layout.unseen_swatch.x, layout.unseen_swatch.y);
  Draw(canvas, layout.unseen_note);
}

void DrawCards(Canvas& canvas, const CompareLayout& layout) {
  for (const CompareCard& card : layout.cards) {
    DrawLetter(canvas, card.disc, card.letter, card.suspect, layout.sizes);
    for (const TextBlock& line : card.lines) Draw(canvas, line);
  }
}

void DrawTexts(Canvas& canvas, const CompareLayout& layout) {
  Draw(canvas, layout.headline);
  Draw(canvas, layout.sentences);
  for (const TextBlock& block : layout.texts) Draw(canvas, block);
}

cv::Mat DrawRegionsOnly(const CompareResult& result, const Words& words) {
  const CompareLayout layout = LayOutCompare(result, {}, words);
  Canvas canvas(layout.canvas_px, kPaper);
  DrawTexts(canvas, layout);
  return canvas.ToBgr();
}

cv::Mat DrawMapsAndPhoto(const CompareResult& result, const cv::Mat& photo, const Words& words) {
  const ColorScale scale = ScaleOfBoth(result);
  const cv::Mat before = MapPicture(result.before_k, scale, result.before);
  const cv::Mat after = MapPicture(result.after_k, scale, AfterInView(result));
  const Backdrop backdrop =
      FittedBackdrop(result.before, photo, PhotoRoom(before.size(), result.places.size()));
  ComparePictures pictures{before.size(), {}, backdrop.bgr.size(), backdrop.map};
  pictures.map.scale = TimesFor(result.before_k.size());
  pictures.map.picture_from_frame = EnlargedFromFrame(pictures.map.scale);

  const CompareLayout layout = LayOutCompare(result, pictures, words);
  Canvas canvas(layout.canvas_px, kPaper);
  DrawTexts(canvas, layout);
  DrawPanel(canvas, layout.before, before, layout.sizes);
  DrawPanel(canvas, layout.after, after, layout.sizes);
  DrawScales(canvas, result, pictures.map, scale, layout, words);
  DrawPanel(canvas, layout.photo, backdrop.bgr, layout.sizes);
  DrawCards(canvas, layout);
  return canvas.ToBgr();
}

}  // namespace
}  // namespace internal

cv::Mat DrawCompare(const CompareResult& result, const cv::Mat& photo, const Words& words) {
  return internal::OnlyRegions(result) ? internal::DrawRegionsOnly(result, words)
                                       : internal::DrawMapsAndPhoto(result, photo, words);
}

}  // namespace ohmglow
