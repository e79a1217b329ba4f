// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// The patch around a peak that is warmer than half of it.
struct SpotShape {
  double area_px = 0;
  double width_px = 0;              ///< Diameter of the disc of the same area.
  double length_px = 0;             ///< Four standard deviations along the longest axis.
  double elongation = 1;            ///< Longest over shortest standard deviation.
  bool leaves_view = false;         ///< Reaches what not every frame saw.
  double nearest_contact_px = 1e9;  ///< From the patch's pixels to the closest contact.
};

/// @param rise_k  map of the rise.  @param seen  255 where usable.
[[nodiscard]] SpotShape MeasureShape(const Image& rise_k,
                                     const Mask& seen,
                                     Point peak_px,
                                     const std::vector<Point>& contacts_px);

}  // namespace ohmglow
