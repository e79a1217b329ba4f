// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>

#include "ohmglow/result.h"
#include "picture/canvas.h"
#include "picture/marks.h"
#include "picture/style.h"

namespace ohmglow::internal {

/// A picture to draw upon and where the frame lies in it.
struct Backdrop {
  cv::Mat bgr;  ///< 8-bit BGR.
  PictureMap map;
};

/// The photo where it can be mapped, else the static frame picture in grey,
/// brought to a size at which marks are legible (a photo between 1000 and 2400
/// pixels wide keeps its own pixels).
[[nodiscard]] Backdrop MakeBackdrop(const LocateResult& result, const cv::Mat& photo);

/// What is drawn darkest and brightest of the static frame picture [K]: percentiles 1 and 99.
struct GreyRange {
  float low = 0;
  float high = 0;
};
[[nodiscard]] std::optional<GreyRange> StaticRange(const LocateResult& result);

/// Their greys, kept off black and white, so that marks stand out on both.
inline constexpr float kDarkGrey = 30;
inline constexpr float kBrightGrey = 215;

/// The static frame picture as 8-bit grey, stretched from StaticRange().
[[nodiscard]] cv::Mat StaticGrey(const LocateResult& result);

/// The map from frame to a picture `scale` times as large.
[[nodiscard]] PlaneMap EnlargedFromFrame(double scale);

/// Picture pixels per millimetre at the picture's middle. Without a board map: of the frames
/// by their stated scale, of a photo empty.
[[nodiscard]] std::optional<double> PixelsPerMillimetre(const LocateResult& result,
                                                        const PictureMap& map,
                                                        cv::Size picture_size_px);

}  // namespace ohmglow::internal
