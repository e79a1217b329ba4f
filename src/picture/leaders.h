// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/geometry.h"
#include "picture/marks.h"

namespace ohmglow::internal {

/// The line from each mark's badge to its entry of the legend, which stands in
/// the order of the ranks. The first mark chooses first. A line that has to pass
/// a ring, a badge or an earlier line is bent around it, past what is to be seen
/// where it can; where no small detour does, and off the picture, it is left out:
/// the numerals tie place and entry as well.
/// @param ports  one per mark, in the marks' order.
[[nodiscard]] std::vector<std::vector<Point>> RouteLeaders(const std::vector<Mark>& marks,
                                                           const std::vector<Point>& ports,
                                                           cv::Rect2d picture_px,
                                                           const TypeSizes& sizes,
                                                           const PictureDetail& detail = {});

}  // namespace ohmglow::internal
