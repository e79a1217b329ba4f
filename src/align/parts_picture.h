// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// The bodies of one side drawn bright on dark, seen straight.
struct PartsPicture {
  Image picture;  ///< 0 .. 1.
  PlaneMap picture_from_board;
};

/// @param px_per_mm  of the drawing; made smaller where it would get too large.
/// @param margin_mm  left empty around the outermost bodies.
/// @param mirrored   x runs the other way.
/// @return  empty where the side has no body with a size.
[[nodiscard]] PartsPicture DrawParts(const std::vector<Part>& parts,
                                     BoardSide side,
                                     double px_per_mm,
                                     double margin_mm,
                                     bool mirrored);

/// Outlines on a side [mm]; parts without a size have none.
[[nodiscard]] std::vector<cv::Rect2d> BodiesOf(const std::vector<Part>& parts, BoardSide side);

/// Of the rectangle about the bodies of a side [mm]; empty without any.
[[nodiscard]] cv::Size2d ExtentMm(const std::vector<Part>& parts, BoardSide side);

}  // namespace ohmglow
