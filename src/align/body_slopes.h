// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/image.h"

namespace ohmglow {

/// Slopes of a picture over their size and the noise, -1 .. 1: an edge counts by
/// being one, hardly by its contrast.
struct BodySlopes {
  Image x, y;
};

/// @param seen  slopes are 0 where it is not; empty: all is seen.
/// @param blur_px  detail below it is smoothed away.
/// @param noises  of the typical slope: what is below counts as noise.
[[nodiscard]] BodySlopes SlopesOver(const Image& picture,
                                    const Mask& seen,
                                    double blur_px,
                                    double noises);

}  // namespace ohmglow
