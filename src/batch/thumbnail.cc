// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/thumbnail.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "picture/backdrop.h"
#include "picture/canvas.h"
#include "picture/marks.h"

namespace ohmglow::batch {
namespace {

constexpr double kLongSidePx = 640;
// Marks as on a picture of this width: legible at half of the thumbnail's size.
constexpr double kMarksWidthPx = 1150;

}  // namespace

cv::Mat DrawThumbnail(const LocateResult& result, const cv::Mat& photo) {
  using namespace internal;
  Backdrop backdrop = MakeBackdrop(result, photo);
  const double scale = kLongSidePx / std::max(backdrop.bgr.cols, backdrop.bgr.rows);
  cv::Mat small;
  cv::resize(backdrop.bgr, small, cv::Size(), scale, scale, cv::INTER_AREA);
  // Pixel centres at whole numbers: the corner of a pixel lies half of one before.
  PlaneMap shrink;
  shrink.matrix = {scale, 0, (scale - 1) / 2, 0, scale, (scale - 1) / 2, 0, 0, 1};
  backdrop.map.picture_from_frame.matrix = shrink.matrix * backdrop.map.picture_from_frame.matrix;
  backdrop.map.scale *= scale;
  const TypeSizes sizes(kMarksWidthPx);
  std::vector<Mark> marks = MakeMarks(result, backdrop.map, small.size(), sizes);
  PlaceBadges(marks, small.size(), {0.7, -0.7}, sizes);
  Canvas canvas(small.size(), kPaper);
  canvas.PutImage(small, 0, 0);
  DrawRings(canvas, marks, sizes);
  DrawBadges(canvas, marks, sizes);
  return canvas.ToBgr();
}

}  // namespace ohmglow::batch
