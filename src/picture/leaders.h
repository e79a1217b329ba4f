// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/geometry.h"
#include "picture/marks.h"

namespace ohmglow::internal {

/// Which legend entry each mark gets, and the line that leads there.
struct Leaders {
  std::vector<std::size_t> port_of_mark;  ///< Index into `ports`.
  std::vector<std::vector<Point>> lines;  ///< From badge to port; empty off the picture.
};

/// Assigns marks to the places of the legend so that no two leaders cross, none
/// runs over a ring or badge, and the whole length is least; a leader that has
/// to pass a ring is bent around it, past what is to be seen where it can.
/// @param ports  one per mark, in legend order.
[[nodiscard]] Leaders RouteLeaders(const std::vector<Mark>& marks,
                                   const std::vector<Point>& ports,
                                   cv::Rect2d picture_px,
                                   const TypeSizes& sizes,
                                   const PictureDetail& detail = {});

}  // namespace ohmglow::internal
