// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/base/geometry.h"

namespace ohmglow::internal {

/// How much there is to see at each place of a picture: parts and their names,
/// that a badge or a line should leave free.
class PictureDetail {
 public:
  /// Nothing anywhere.
  PictureDetail() = default;
  /// @param bgr  8-bit BGR or grey.
  explicit PictureDetail(const cv::Mat& bgr);

  /// From 0, even, to 1, full of edges; beyond the picture 0.
  [[nodiscard]] double Around(Point at_px, double radius_px) const;
  /// Mean along a segment, a band of `radius_px` to both sides.
  [[nodiscard]] double Along(Point from_px, Point to_px, double radius_px) const;

 private:
  cv::Mat sums_;  // integral image of the edges, CV_32S
};

}  // namespace ohmglow::internal
