// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/band_score.h"
#include "heat/clock_grid.h"
#include "heat/plate.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"

namespace ohmglow {

/// The liveliest places of one band of detail, and how steps explain them.
struct LivelyBand {
  FineGrid spots;  ///< Courses weighted, without their mean; nothing else is taken out.
  BandScore score;
};

/// Places whose courses change most, against what the rest of the picture
/// does: slow courses, shutter events and what follows the view count for as
/// much as they are beyond what most places have of them.
[[nodiscard]] LivelyBand FindLivelyBand(const Stack& stack,
                                        const Plate& plate,
                                        double mm_per_pixel,
                                        const DetailBand& band);

}  // namespace ohmglow
