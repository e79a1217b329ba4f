// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow::desk {

/// The sharpest corner near a point, to a fraction of a pixel; the point itself where there
/// is none.
/// @param picture    one channel; pixels that are not finite count as their row's middle.
/// @param radius_px  how far it may be.
/// Source: Shi, Tomasi, CVPR 1994, 593-600 (the smaller eigenvalue); Foerstner, Guelch,
/// ISPRS 1987, 281-305 (to a fraction of a pixel).
[[nodiscard]] Point NearestCorner(const Image& picture, Point near_px, double radius_px);

}  // namespace ohmglow::desk
