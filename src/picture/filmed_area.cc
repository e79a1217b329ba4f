// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/filmed_area.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

namespace ohmglow::internal {
namespace {

// Quiet: the marks are what the picture is about.
constexpr Color kFilmedLine{1, 1, 1, 0.8};
constexpr Color kFilmedHalo{0.05, 0.05, 0.06, 0.45};
constexpr Color kFilmedPaper{0.05, 0.05, 0.06, 0.6};
constexpr int kPlacesOfEdge = 24;
constexpr double kUpright = 0.4;  // Penalty of a label on an edge that is not nearly level.

TextStyle LabelStyle(const TypeSizes& sizes) { return {0.85 * sizes.card_px, false, kPaper, 1}; }

cv::Rect2d BoxAround(Point center, cv::Size2d size) {
  return {center.x - 0.5 * size.width, center.y - 0.5 * size.height, size.width, size.height};
}

}  // namespace

std::optional<FilmedArea> MakeFilmedArea(cv::Size frame_px,
                                         const PictureMap& map,
                                         cv::Size picture_size_px,
                                         const std::string& words) {
  if (!map.is_photo || frame_px.area() <= 0) return std::nullopt;
  FilmedArea area;
  area.words = words;
  const double right = frame_px.width - 0.5;
  const double low = frame_px.height - 0.5;
  std::vector<cv::Point2f> corners;
  for (const Point corner :
       {Point(-0.5, -0.5), Point(right, -0.5), Point(right, low), Point(-0.5, low)}) {
    const Point p = map.picture_from_frame.Apply(corner);
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) return std::nullopt;
    area.outline.push_back(p);
    corners.emplace_back(p);
  }
  // A corner beyond the horizon of the map turns the outline over.
  if (!cv::isContourConvex(corners)) return std::nullopt;
  area.outline.push_back(area.outline.front());
  const cv::Point2f far(Point(picture_size_px.width - 1, picture_size_px.height - 1));
  const auto filmed = [&](cv::Point2f p) { return cv::pointPolygonTest(corners, p, false) >= 0; };
  if (filmed({0, 0}) && filmed({far.x, 0}) && filmed(far) && filmed({0, far.y})) {
    return std::nullopt;
  }
  return area;
}

void PlaceLabel(FilmedArea& area,
                cv::Size picture_size_px,
                const std::vector<cv::Rect2d>& taken,
                const TypeSizes& sizes,
                const PictureDetail& detail) {
  const cv::Size2d text = Canvas::Measure(area.words, 0, LabelStyle(sizes));
  const cv::Size2d size(text.width + 0.8 * sizes.card_px, text.height + 0.2 * sizes.card_px);
  const cv::Rect2d picture({0, 0}, cv::Size2d(picture_size_px));
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i + 1 < area.outline.size(); ++i) {
    const Point from = area.outline[i];
    const Point along = area.outline[i + 1] - from;
    const bool level = std::abs(along.y) < 0.3 * std::abs(along.x);
    for (int k = 1; k < kPlacesOfEdge; ++k) {
      const Point at = from + along * (static_cast<double>(k) / kPlacesOfEdge);
      const cv::Rect2d box = BoxAround(at, size);
      // Over a corner the words would hide how the outline goes on.
      if (level && (box.x < std::min(from.x, from.x + along.x) ||
                    box.br().x > std::max(from.x, from.x + along.x))) {
        continue;
      }
      if ((box & picture).area() < 0.999 * box.area()) continue;
      if (std::any_of(taken.begin(), taken.end(), [&](const cv::Rect2d& other) {
            return (box & other).area() > 0;
          })) {
        continue;
      }
      const Point half(0.5 * size.width, 0);
      const double penalty = detail.Along(at - half, at + half, 0.5 * size.height) +
                             (level ? 0 : kUpright) + 1e-3 * at.x / picture.width;
      if (penalty < least) {
        least = penalty;
        area.label = box;
      }
    }
  }
}

void DrawFilmedArea(Canvas& canvas,
                    const FilmedArea& area,
                    const cv::Rect& picture,
                    const TypeSizes& sizes) {
  canvas.Clip(picture);
  canvas.Line(area.outline, {kFilmedHalo, 2.0 * sizes.line_px, {}});
  canvas.Line(area.outline, {kFilmedLine, 0.8 * sizes.line_px, {}});
  canvas.Unclip();
  if (area.label.empty()) return;
  canvas.FillBox(area.label, kFilmedPaper);
  canvas.TextCentred(area.words, 0.5 * (area.label.tl() + area.label.br()), LabelStyle(sizes));
}

}  // namespace ohmglow::internal
