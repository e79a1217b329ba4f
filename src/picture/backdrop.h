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

/// The static frame picture as 8-bit grey, percentiles 1 to 99 stretched.
[[nodiscard]] cv::Mat StaticGrey(const LocateResult& result);

/// The map from frame to a picture `scale` times as large.
[[nodiscard]] PlaneMap EnlargedFromFrame(double scale);

/// Picture pixels per millimetre at the picture's middle; empty without a board map.
[[nodiscard]] std::optional<double> PixelsPerMillimetre(const LocateResult& result,
                                                        const PictureMap& map,
                                                        cv::Size picture_size_px);

}  // namespace ohmglow::internal
