// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <limits>

namespace ohmglow {

/// Where a picture has no value.
inline constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();

}  // namespace ohmglow
