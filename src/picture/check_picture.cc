// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "base/quantile.h"
#include "ohmglow/picture/check_report.h"
#include "picture/backdrop.h"
#include "picture/check_curves.h"
#include "picture/check_layout.h"
#include "picture/heat_picture.h"
#include "words/numbers.h"

namespace ohmglow {
namespace internal {
namespace {

constexpr int kOutlineTimes = 6;
constexpr double kNoiseSpan = 6;        // The scale spans at least this many times the noise.
constexpr double kBrightShare = 0.998;  // Single lively pixels shall not set the scale.
constexpr double kDimmed = 0.75;        // The photo, so that lines stand out.
const cv::Scalar kOutlineBgr(41, 184, 255);

std::vector<float> Finite(const Image& image) {
  std::vector<float> values;
  for (const float v : image) {
    if (std::isfinite(v)) values.push_back(v);
  }
  return values;
}

// One grey scale for the pair, so that they differ in nothing but the registration.
struct GreyScale {
  explicit GreyScale(const LineInTime& line) {
    // Of the first half: what warms later would leave the edges no contrast.
    std::vector<float> values = Finite(line.before_k.rowRange(0, (line.before_k.rows + 1) / 2));
    if (values.empty()) values.push_back(0);
    low = QuantileOf(values, 0.01);
    high = std::max(QuantileOf(values, 0.99), low + 1e-3F);
  }
  float low, high;
};

cv::Mat StripPicture(const Image& line_k, const GreyScale& scale, bool is_row, cv::Size size_px) {
  cv::Mat_<unsigned char> grey(line_k.size());
  for (int y = 0; y < grey.rows; ++y) {
    for (int x = 0; x < grey.cols; ++x) {
      const float v = line_k(y, x);
      const float share = (v - scale.low) / (scale.high - scale.low);
      grey(y, x) = std::isfinite(v) ? cv::saturate_cast<unsigned char>(20 + 215 * share) : 255;
    }
  }
  cv::Mat turned = grey;
  if (!is_row) cv::transpose(grey, turned);
  cv::Mat bgr;
  cv::resize(turned, bgr, size_px, 0, 0, cv::INTER_LINEAR);
  cv::cvtColor(bgr, bgr, cv::COLOR_GRAY2BGR);
  return bgr;
}

ColorScale ResidualScale(const RegistrationCheck& check) {
  std::vector<float> left_k = Finite(check.residual_k);
  const double bright = left_k.empty() ? 0 : static_cast<double>(QuantileOf(left_k, kBrightShare));
  return {0, std::max({kNoiseSpan * check.noise_k, bright, 1e-4})};
}

cv::Mat ResidualPicture(const RegistrationCheck& check, const ColorScale& scale, cv::Size size_px) {
  const int times = std::max(1, size_px.width / check.residual_k.cols);
  cv::Mat bgr = HeatPicture(check.residual_k, scale, times);
  cv::resize(bgr, bgr, size_px, 0, 0, cv::INTER_LINEAR);
  return bgr;
}

void DrawTileNumbers(Canvas& canvas,
                     const RegistrationCheck& check,
                     const CheckLayout& layout,
                     const Words& words) {
  const cv::Rect picture = layout.residual.picture;
  const double scale = static_cast<double>(picture.width) / check.residual_k.cols;
  const TextStyle style{0.9 * layout.sizes.card_px, true, kPaper, 1};
  for (const LocalShift& tile : check.tiles) {
    const Point middle(picture.x + scale * (tile.tile_px.x + 0.5 * tile.tile_px.width),
                       picture.y + scale * (tile.tile_px.y + 0.5 * tile.tile_px.height));
    const std::string text = tile.leftover_px
                                 ? DigitsText(std::round(*tile.leftover_px * 100) / 100, 2, words)
                                 : "\u2013";
    const cv::Size2d size = Canvas::Measure(text, 0, style);
    canvas.FillBox({middle.x - 0.5 * size.width - 4,
                    middle.y - 0.5 * size.height - 1,
                    size.width + 8,
                    size.height + 2},
                   {0.05, 0.05, 0.06, 0.65});
    canvas.TextCentred(text, middle, style);
  }
}

void DrawBar(Canvas& canvas,
             const ColorScale& scale,
             bool relative,
             const CheckLayout& layout,
             const Words& words) {
  const cv::Rect2d bar = layout.color_bar;
  const TypeSizes& sizes = layout.sizes;
  const int rows = static_cast<int>(bar.height);
  for (int i = 0; i < rows; ++i) {
    canvas.FillBox({bar.x, std::floor(bar.y) + i, bar.width, 1},
                   scale.At(scale.ValueAt(1 - (i + 0.5) / rows)));
  }
  for (const double tick : scale.Ticks(1.8 * sizes.card_px / rows)) {
    const double y = std::floor(bar.y) + rows * (1 - scale.Position(tick));
    canvas.Line({{bar.br().x, y}, {bar.br().x + 5, y}}, {kInk, sizes.line_px * 0.6, {}});
    const std::string label =
        relative ? DigitsText(100 * tick, 2, words) + " %" : KelvinText(tick, words);
    canvas.Text(tick == 0 ? "0" : label,
                {bar.br().x + 9, y - 0.6 * sizes.card_px, 4 * sizes.card_px, 1.5 * sizes.card_px},
                {0.85 * sizes.card_px, false, kInk, 1});
  }
}

// What the frame's outlines are drawn on, and the way there from the frame.
Backdrop OutlinedBackdrop(const LocateResult& shown, const Backdrop& base, cv::Size size_px) {
  Backdrop out;
  const double scale = static_cast<double>(size_px.width) / base.bgr.cols;
  cv::resize(base.bgr, out.bgr, size_px, 0, 0, scale > 1 ? cv::INTER_CUBIC : cv::INTER_AREA);
  out.map.picture_from_frame.matrix =
      EnlargedFromFrame(scale).matrix * base.map.picture_from_frame.matrix;
  if (shown.reference_k.empty()) return out;
  out.bgr *= kDimmed;
  const cv::Matx33d from_outlines =
      out.map.picture_from_frame.matrix * EnlargedFromFrame(kOutlineTimes).matrix.inv();
  cv::Mat mask;
  cv::dilate(FrameOutlines(shown, kOutlineTimes), mask, cv::Mat());
  cv::warpPerspective(mask, mask, from_outlines, size_px, cv::INTER_AREA);
  out.bgr.setTo(kOutlineBgr, mask > 90);
  return out;
}

void DrawPanelText(Canvas& canvas, const CheckPanel& panel) {
  Draw(canvas, panel.heading);
  Draw(canvas, panel.note);
}

void DrawStrips(Canvas& canvas,
                const LineInTime& line,
                const CheckPanel& before,
                const CheckPanel& after) {
  if (line.before_k.empty()) return;
  const GreyScale scale(line);
  const auto put = [&](const Image& line_k, const CheckPanel& panel) {
    canvas.PutImage(StripPicture(line_k, scale, line.is_row, panel.picture.size()),
                    panel.picture.x,
                    panel.picture.y);
  };
  put(line.before_k, before);
  put(line.after_k, after);
}

}  // namespace
}  // namespace internal

cv::Mat DrawCheck(const RegistrationCheck& check, const cv::Mat& photo, const Words& words) {
  using namespace internal;
  LocateResult shown;  // What the shared drawing functions ask for.
  shown.reference_k = check.static_k;
  shown.frame_size_px = check.static_k.size();
  shown.maps = check.maps;
  const Backdrop base = MakeBackdrop(shown, photo);
  const CheckLayout layout = LayOutCheck(check, base.bgr.size(), base.map.is_photo, words);

  Canvas canvas(layout.canvas_px, kPaper);
  Draw(canvas, layout.headline);
  Draw(canvas, layout.sentences);
  for (const CheckPanel* panel : layout.panels()) DrawPanelText(canvas, *panel);
  DrawStrips(canvas, check.row, layout.row_before, layout.row_after);
  DrawStrips(canvas, check.column, layout.column_before, layout.column_after);
  DrawMotionCurves(canvas, check, layout.curves.picture, layout.sizes, words);
  const ColorScale scale = ResidualScale(check);
  const cv::Rect map = layout.residual.picture;
  canvas.PutImage(ResidualPicture(check, scale, map.size()), map.x, map.y);
  DrawTileNumbers(canvas, check, layout, words);
  DrawBar(canvas, scale, check.values == FrameValues::kRelative, layout, words);
  const Backdrop backdrop = OutlinedBackdrop(shown, base, layout.photo.picture.size());
  canvas.PutImage(backdrop.bgr, layout.photo.picture.x, layout.photo.picture.y);
  Draw(canvas, layout.footer);
  return canvas.ToBgr();
}

}  // namespace ohmglow
