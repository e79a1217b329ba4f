// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/geometry.h"

namespace ohmglow {

/// Where a place of a frame lies in pixels that are squares of `binning` x `binning` of the frame's.
[[nodiscard]] inline Point ToBinned(Point frame_px, int binning) {
  return (frame_px + Point(0.5, 0.5)) * (1.0 / binning) - Point(0.5, 0.5);
}

/// And back.
[[nodiscard]] inline Point FromBinned(Point binned_px, int binning) {
  return (binned_px + Point(0.5, 0.5)) * binning - Point(0.5, 0.5);
}

}  // namespace ohmglow
