// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "compare/pair_texture.h"

namespace ohmglow {

/// A map and what is known of it.
struct FittedMap {
  PlaneMap after_from_before;
  double error_px = 0;  ///< Standard error of a place, rms over the overlap, BEFORE's pixels.
};

/// Fits a projective map by Gauss-Newton with Tukey weights, so that
/// gain after(map(x)) is like before(x) where the gain may differ over the
/// picture. AFTER's picture is brought into BEFORE's view at every step, so that
/// both textures are filtered alike.
/// @param from      where to begin.
/// @param prior     what is known without the pictures; stands where there is no texture.
/// @param blur_px   detail of the textures compared.
[[nodiscard]] FittedMap RefinePair(const StaticView& before,
                                   const StaticView& after,
                                   const PlaneMap& from,
                                   const FittedMap& prior,
                                   double blur_px);

/// AFTER's picture in BEFORE's view.
[[nodiscard]] StaticView WarpView(const StaticView& after,
                                  const PlaneMap& after_from_before,
                                  cv::Size size);

/// Evidence that two textures in one view show the same things.
struct Likeness {
  double z = 0;          ///< Correlation over parts of the picture, in standard errors.
  int num_parts = 0;     ///< Parts with texture in both.
  double agreement = 0;  ///< Root mean square of the parts' correlations, noise taken off.
};
[[nodiscard]] Likeness MeasureLikeness(const Texture& before, const Texture& after, double blur_px);

}  // namespace ohmglow
