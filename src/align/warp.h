// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>

#include "align/motion.h"
#include "ohmglow/base/image.h"

namespace ohmglow::internal {

/// Weights of the four neighbours of a place `t` after the second one.
/// Source: Keys, IEEE Trans. Acoust. Speech Signal Process. 29 (1981)
/// 1153-1160, cubic convolution with a = -1/2 (exact for quadratics).
[[nodiscard]] inline std::array<float, 4> CubicWeights(float t) {
  const float u = 1 - t;
  return {-0.5F * t * u * u,
          1 + t * t * (1.5F * t - 2.5F),
          1 + u * u * (1.5F * u - 2.5F),
          -0.5F * u * t * t};
}

/// Resamples `source` by cubic convolution: out(p) = source(map(p)). Places
/// outside take the nearest border pixel; see InsideOf. Exact in the fractions.
/// Maps without perspective: two one-dimensional passes (columns, then rows),
/// for rotations below 30 degrees.
/// @param source  finite everywhere, at least 4 x 4.
void Warp(const Image& source, const Motion& map, Image& out);

/// The columns [begin, end) of row y whose places map(p) lie at least
/// `margin_px` inside the frame.
struct Columns {
  int begin, end;
};
[[nodiscard]] Columns InsideOf(cv::Size size_px, const PlaneMap& map, int y, double margin_px);

}  // namespace ohmglow::internal
