// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "ohmglow/words/words.h"
#include "picture/canvas.h"
#include "picture/picture_detail.h"
#include "picture/style.h"

namespace ohmglow::internal {

/// A bar of a round length in millimetres with its label behind it.
struct LengthBar {
  double length_px = 0;
  std::string label;
  cv::Size2d size_px;  ///< Bar and label.
};

/// @param px_per_mm  picture pixels per millimetre.
/// @param most_px    the bar is at most this long.
[[nodiscard]] LengthBar MakeLengthBar(double px_per_mm,
                                      double most_px,
                                      const TypeSizes& sizes,
                                      const Words& words = Words::Report());

/// Draws it; returns the width taken [px].
double DrawLengthBar(Canvas& canvas, Point corner, const LengthBar& bar, const TypeSizes& sizes);

/// A bar that lies on the picture that it belongs to, on paper, so that it is legible
/// on anything and cannot be taken for the scale of another picture.
struct BarOnPicture {
  LengthBar bar;
  cv::Rect2d paper;
};

/// Puts a bar into a corner of its picture where it covers nothing that is taken and hides
/// the least; the lower ones first. Empty where there is no such corner.
/// @param taken   boxes to be left free, in the picture's pixels as `picture` is.
/// @param detail  of the picture; its pixels start at the picture's corner.
[[nodiscard]] std::optional<BarOnPicture> PutBar(const LengthBar& bar,
                                                 const cv::Rect2d& picture,
                                                 const std::vector<cv::Rect2d>& taken,
                                                 const TypeSizes& sizes,
                                                 const PictureDetail& detail = {});

void DrawBar(Canvas& canvas, const BarOnPicture& bar, const TypeSizes& sizes);

}  // namespace ohmglow::internal
