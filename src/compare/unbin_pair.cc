// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/unbin_pair.h"

#include "base/larger_pixels.h"
#include "binning/unbin.h"

namespace ohmglow {

void UnbinPair(const Case& before,
               const Case& after,
               const std::array<int, 2>& binning,
               CompareResult& out) {
  const auto [first, second] = binning;
  if (first == 1 && second == 1) return;
  Unbin(before, first, out.before);
  Unbin(after, second, out.after);
  PairAlignment& pair = out.alignment;
  pair.after_from_before = {BinnedFromFrame(second).Inverse().matrix *
                            pair.after_from_before.matrix * BinnedFromFrame(first).matrix};
  pair.residual_px *= first;
  pair.scale *= static_cast<double>(second) / first;
  for (ComparedPlace& place : out.places) {
    place.before_px = FromBinned(place.before_px, first);
    place.after_px = FromBinned(place.after_px, second);
  }
  const cv::Size size = before.frames->size_px();
  out.before_k = Unbin(out.before_k, first, size);
  out.after_k = Unbin(out.after_k, first, size);
}

}  // namespace ohmglow
