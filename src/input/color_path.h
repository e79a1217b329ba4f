// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace ohmglow {

/// A colour and how often it occurs.
struct ColorPoint {
  cv::Vec3f color{0, 0, 0};
  double count = 0;
};

/// The longest way through the shortest tree over the points that has no edge above
/// `largest_gap`, within the part that holds most of the counts: indices, end to end.
[[nodiscard]] std::vector<std::size_t> LongestPath(const std::vector<ColorPoint>& points,
                                                   double largest_gap);

/// A smooth line along that way: `knots` colours at even lengths. Empty where the way has
/// fewer than two points.
[[nodiscard]] std::vector<cv::Vec3f> SmoothPath(const std::vector<ColorPoint>& points,
                                                const std::vector<std::size_t>& path,
                                                int knots);

struct PathPlace {
  double along = 0;     ///< 0 at the first knot, 1 at the last, by length.
  double distance = 0;  ///< From the line.
};

/// The place of a line that lies nearest to a colour.
[[nodiscard]] PathPlace PlaceOnPath(const std::vector<cv::Vec3f>& knots, const cv::Vec3f& color);

}  // namespace ohmglow
