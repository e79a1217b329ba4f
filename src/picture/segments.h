// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/geometry.h"

namespace ohmglow::internal {

/// Whether the closed segments a-b and c-d share a point.
[[nodiscard]] bool SegmentsCross(Point a, Point b, Point c, Point d);

/// Distance of a point from the segment a-b.
[[nodiscard]] double SegmentDistance(Point p, Point a, Point b);

}  // namespace ohmglow::internal
