// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/detector.h"
#include "rank/peaks.h"

namespace ohmglow {

/// Places to look at: maxima of strong steps, and beyond their reach those of
/// all that is seen. Highest first.
/// @param threshold  least signal-to-noise ratio of the detector.
[[nodiscard]] std::vector<Peak> FindPlaces(const Detector& detector, double threshold);

}  // namespace ohmglow
