// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

struct Peak {
  Point at_px;        ///< To a fraction of a pixel (parabola through the neighbours).
  double height = 0;  ///< Value of the map.
  /// Radius of the patch in its middle that went beyond the camera's range; 0: none.
  double overrun_px = 0;
};

/// Maxima of a map that stand out: above `threshold`, and separated from every
/// higher one by a saddle deep enough below their own height (persistence of the
/// level sets), so that ripples on a warm plateau are one place. Highest first.
/// @param map      finite; pixels that may not be used hold 0 or less.
/// @param depth    by how much the saddle must lie below a maximum at each pixel; in the map's unit.
[[nodiscard]] std::vector<Peak> FindPeaks(const Image& map, double threshold, const Image& depth);
/// The same with a saddle below `saddle_fraction` of the maximum's height.
[[nodiscard]] std::vector<Peak> FindPeaks(const Image& map,
                                          double threshold,
                                          double saddle_fraction);

/// The maximum that is reached from a place uphill, to a fraction of a pixel.
[[nodiscard]] Peak ClimbTo(const Image& map, Point from_px);

/// Height that smooth Gaussian noise of unit variance exceeds somewhere with
/// the given probability, from the expected Euler characteristic in two
/// dimensions, R 4 ln2 (2 pi)^(-3/2) t exp(-t^2/2), R = area/FWHM^2.
/// Worsley et al., Hum. Brain Mapp. 4 (1996) 58-73.
/// @param num_maps  independent maps searched together (Bonferroni); >= 1.
[[nodiscard]] double NoiseThreshold(double area_px, double fwhm_px, double num_maps, double prob);

}  // namespace ohmglow
