// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <string>

#include "ohmglow/base/error.h"
#include "ohmglow/picture/pictures.h"
#include "picture/answer_words.h"
#include "picture/backdrop.h"
#include "picture/length_bar.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using internal::Backdrop;
using internal::Canvas;
using internal::Mark;
using internal::TypeSizes;

// Around the place: its neighbours are in view, their marking is legible.
constexpr double kHalfMm = 12;
constexpr double kWidthPx = 900;

// Picture pixels per millimetre; where the scale is not known, a tenth of the picture is 12 mm.
double ScaleOf(const LocateResult& result, const Backdrop& backdrop) {
  const auto px_per_mm = internal::PixelsPerMillimetre(result, backdrop.map, backdrop.bgr.size());
  if (px_per_mm) return *px_per_mm;
  if (result.mm_per_pixel > 0) return backdrop.map.scale / result.mm_per_pixel;
  return backdrop.bgr.cols / (10 * kHalfMm);
}

}  // namespace

cv::Mat DrawCrop(const LocateResult& result,
                 std::size_t place,
                 const cv::Mat& photo,
                 const Words& words) {
  const Backdrop backdrop = internal::MakeBackdrop(result, photo);
  const std::vector<Mark> marks =
      internal::MakeMarks(result, backdrop.map, backdrop.bgr.size(), TypeSizes(backdrop.bgr.cols));
  if (place < 1 || place > marks.size()) {
    throw OptionError("place " + std::to_string(place) + " is not among those that are drawn");
  }
  if (!marks[place - 1].on_picture) return {};
  const double px_per_mm = ScaleOf(result, backdrop);
  const int half = static_cast<int>(std::ceil(kHalfMm * px_per_mm));
  const Point at = marks[place - 1].center;
  const cv::Rect wanted(cvRound(at.x) - half, cvRound(at.y) - half, 2 * half, 2 * half);
  const cv::Rect box = wanted & cv::Rect({0, 0}, backdrop.bgr.size());
  const double enlarge = kWidthPx / box.width;
  cv::Mat body;
  cv::resize(backdrop.bgr(box), body, {}, enlarge, enlarge, cv::INTER_CUBIC);

  const TypeSizes sizes(body.cols);
  Mark mark = marks[place - 1];
  mark.center = enlarge * (at - Point(box.tl()));
  mark.radius_px = std::min(enlarge * mark.radius_px, 0.45 * body.cols);
  const double strip_px = 2 * sizes.gap_px + 2 * sizes.detail_px;
  Canvas canvas({body.cols, body.rows + cvRound(strip_px)}, internal::kPaper);
  canvas.PutImage(body, 0, 0);
  internal::DrawRings(canvas, {mark}, sizes);
  const Point corner(sizes.gap_px, body.rows + sizes.gap_px);
  const internal::LengthBar bar =
      internal::MakeLengthBar(enlarge * px_per_mm, 0.4 * body.cols, sizes, words);
  const double x =
      corner.x + internal::DrawLengthBar(canvas, corner, bar, sizes) + 2 * sizes.gap_px;
  canvas.Text(words.Fill("crop.title",
                         {{"place", std::to_string(place)},
                          {"name", internal::PlaceName(result.candidates[place - 1], words)}}),
              {x, corner.y, body.cols - x - sizes.gap_px, 2 * sizes.detail_px},
              {sizes.detail_px, true, internal::kInk, 1});
  return canvas.ToBgr();
}

}  // namespace ohmglow
