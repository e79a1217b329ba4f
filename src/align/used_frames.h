// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "ohmglow/align/alignment.h"

namespace ohmglow {

/// Their numbers, rising.
[[nodiscard]] inline std::vector<int> UsedFrames(const std::vector<FrameState>& frames) {
  std::vector<int> used;
  for (std::size_t n = 0; n < frames.size(); ++n) {
    if (frames[n].used) used.push_back(static_cast<int>(n));
  }
  return used;
}

}  // namespace ohmglow
