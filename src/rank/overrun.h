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

/// The rises with every hole filled with the largest on its rim or, where that is larger, the
/// largest that was read inside before it went beyond: a lower limit of what is there [K].
/// @param read_rise_k  see `Stack`; may be empty.
[[nodiscard]] Image FillOverruns(const Image& rise_k,
                                 const Mask& out_of_range,
                                 const Image& read_rise_k);

}  // namespace ohmglow
