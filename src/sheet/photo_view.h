// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/result.h"
#include "picture/color_scale.h"

namespace ohmglow::internal {

/// Draws heat as the photo shows the board: a place lies at the same spot of both.
class PhotoView {
 public:
  /// @param maps         with photo_from_frame.
  /// @param photo        8-bit BGR, as large as it is drawn.
  /// @param photo_scale  its pixels per pixel of the photo of `maps`.
  PhotoView(const BoardMaps& maps, const cv::Mat& photo, double photo_scale, cv::Size frame_px);

  /// How much of the photo the frames show, 0 .. 1.
  [[nodiscard]] double SeenShare() const { return seen_share_; }

  /// Where a pixel of the frame lies, shares of the photo's width and height.
  [[nodiscard]] Point ShareOf(Point frame_px) const;

  /// Photo's share of the width that a frame pixel takes at a place.
  [[nodiscard]] double SizeOf(Point frame_px) const;

  /// A response in colours with thin lines where the photo has edges; beyond the
  /// frames the photo, grey and pale.
  /// @param response_k  of the frame's size; NaN looks like no warming, or is hatched.
  /// @return  8-bit BGR of the photo's size.
  [[nodiscard]] cv::Mat Draw(const Image& response_k, const ColorScale& scale, bool hatched) const;

 private:
  BoardMaps maps_;
  double scale_;
  cv::Mat grey_;
  cv::Mat edges_;
  cv::Mat_<cv::Vec2f> from_;  // frame pixel of each pixel
  cv::Mat_<unsigned char> inside_;
  double seen_share_ = 0;
};

}  // namespace ohmglow::internal
