// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/compare/compare.h"

namespace ohmglow {

/// Temperatures of a region. Empty where less than half of it was seen.
/// @param quarters_k  mean pictures of the quarters of the capture, in time: their
///                    spread tells the camera's wandering and the board's warming.
[[nodiscard]] std::optional<RegionNumbers> MeasureRegion(const Region& region,
                                                         const PlaneMap& frame_from_board,
                                                         const std::vector<Image>& quarters_k,
                                                         const Mask& seen);

}  // namespace ohmglow
