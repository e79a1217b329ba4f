// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>

#include "ohmglow/base/geometry.h"
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
/// outside take the nearest border pixel; see CoverOf. Two one-dimensional
/// passes (columns, then rows), exact in the fractions, for rotations below
/// 30 degrees.
/// @param source  finite everywhere, at least 4 x 4.
void Warp(const Image& source, const Similarity& map, Image& out);

/// 1 where map(p) lies at least `margin_px` inside the frame, else 0.
void CoverOf(cv::Size size_px, const Similarity& map, double margin_px, Image& out);

}  // namespace ohmglow::internal
