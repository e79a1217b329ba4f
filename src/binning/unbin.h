// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// A map of the larger pixels in those of the frames, interpolated; NaN in squares that have
/// no value. Rows and columns that were left out repeat the last.
[[nodiscard]] Image Unbin(const Image& map, int binning, cv::Size frame_px);

/// Where a pixel of the frames lies in the larger ones: ToBinned() as a map.
[[nodiscard]] PlaneMap BinnedFromFrame(int binning);

/// Puts a result of Binned(whole, binning) in pixels of its frames: places, motion, maps, remarks.
/// Says a binning that nobody asked for among what was assumed. The noise of a frame becomes what
/// one pixel of the sensor has where it is white. Of the sensor's faults each square keeps one
/// pixel, so that they can be counted.
void Unbin(const Case& whole, int binning, LocateResult& result);

}  // namespace ohmglow
