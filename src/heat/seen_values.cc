// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/seen_values.h"

#include <limits>

#include "base/median.h"

namespace ohmglow {

Image OnSeen(const Image& values, const Mask& seen) {
  Image out(values.size(), std::numeric_limits<float>::quiet_NaN());
  values.copyTo(out, seen);
  return out;
}

std::vector<float> SeenValues(const Image& values, const Mask& seen) {
  std::vector<float> kept;
  for (int y = 0; y < values.rows; ++y) {
    for (int x = 0; x < values.cols; ++x) {
      if (seen(y, x) != 0) kept.push_back(values(y, x));
    }
  }
  return kept;
}

double MedianSeen(const Image& values, const Mask& seen) {
  std::vector<float> kept = SeenValues(values, seen);
  return kept.empty() ? 0 : MedianOf(kept);
}

}  // namespace ohmglow
