// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow {

/// The picture, NaN where nothing was seen.
[[nodiscard]] Image OnSeen(const Image& values, const Mask& seen);

[[nodiscard]] std::vector<float> SeenValues(const Image& values, const Mask& seen);

/// 0 where nothing was seen.
[[nodiscard]] double MedianSeen(const Image& values, const Mask& seen);

}  // namespace ohmglow
