// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/image.h"

namespace ohmglow {

/// Spread of a map about zero where most of it is quiet (1.4826 times the median size): also
/// what noise is not, but is no heat of a fault either.
/// @return  0 where nothing is seen.
[[nodiscard]] double QuietSpread(const Image& map, const Mask& seen);

}  // namespace ohmglow
