// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/padded_plane.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// Power spectrum of a picture's background over spatial frequency, white noise
/// of unit variance being 1: clutter (broad warmth, drift, smeared patterns)
/// raises the low frequencies.
struct BackgroundSpectrum {
  double first_k = 0;  ///< Radians a pixel at the table's first entry.
  double last_k = 0;
  std::vector<float> table;  ///< Even in log(k).

  /// The same power to a given exponent, as a filter of a plane.
  [[nodiscard]] Image Filter(const PaddedPlane& plane, double exponent) const;
};

/// Median of the periodogram over rings of frequency, over ln 2: a ring's
/// median heeds neither stripes nor a few lines (exponential distribution of a
/// periodogram's ordinates: Priestley, Spectral Analysis and Time Series 1981,
/// 6.1). Never below white noise, and above it by what chance does not make.
/// What stands out in space is left out by `quiet`.
/// @param picture  in units of the white noise.
/// @param quiet    1 where the picture counts, 0 where not, smooth between.
[[nodiscard]] BackgroundSpectrum MeasureBackground(const Image& picture,
                                                   const Image& quiet,
                                                   const PaddedPlane& plane);

}  // namespace ohmglow
