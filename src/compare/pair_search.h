// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "compare/pair_texture.h"

namespace ohmglow {

/// A coarse map and how well the textures agree under it.
struct CoarseMatch {
  PlaneMap after_from_before;
  double agreement = 0;
};

/// Similarities (rotation, scale, shift) under which the textures agree best,
/// best first, each clearly another than those before.
/// @param most  how many at most.
[[nodiscard]] std::vector<CoarseMatch> SearchPair(const Texture& before,
                                                  const Texture& after,
                                                  const PairAlignOptions& options,
                                                  int most);

}  // namespace ohmglow
