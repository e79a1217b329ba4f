// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/image.h"
#include "rank/peaks.h"

namespace ohmglow {

/// Where a place was driven beyond the camera's range, its peak is a hole with
/// peaks on the rim: these become one, at the centroid of the hole, as high as
/// the highest of them. Keeps the order, highest first.
/// @param out_of_range  255 in the holes; may be empty.
[[nodiscard]] std::vector<Peak> JoinAtOverruns(const std::vector<Peak>& peaks,
                                               const Mask& out_of_range);

/// The map with every hole filled with the largest value on its rim: a lower
/// limit of what is there.
[[nodiscard]] Image FillOverruns(const Image& map, const Mask& out_of_range);

}  // namespace ohmglow
