// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/quiet_spread.h"

#include <cmath>
#include <vector>

#include "align/robust.h"

namespace ohmglow {

double QuietSpread(const Image& map, const Mask& seen) {
  std::vector<float> sizes;
  for (int y = 0; y < map.rows; ++y) {
    for (int x = 0; x < map.cols; ++x) {
      if (seen(y, x) != 0) sizes.push_back(std::abs(map(y, x)));
    }
  }
  return internal::kSigmasPerMad * static_cast<double>(internal::MedianInPlace(sizes));
}

}  // namespace ohmglow
