// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/motion.h"
#include "ohmglow/base/image.h"

namespace ohmglow::internal {

/// Standard deviation of what is white in a mean of frames: the sensor's own
/// pattern of pixels and what is left of the noise. Taken from second
/// differences both ways, in which columns, rows and focused texture are weak,
/// by their median, which sparse sharp edges do not move.
[[nodiscard]] double WhitePartOf(const Image& mean_k);

/// What a band-passed mean of registered frames tells of the scene alone: its
/// conditional mean, given that a white pattern of the sensor, smeared by the
/// motion, lies over it. Two sub-bands, each weighted by the local share of the
/// scene in its variance (Wiener). A fit against the mean itself is dragged
/// towards rest by the pattern's slopes; against the conditional mean of the
/// slopes it is not (regression calibration: Carroll, Ruppert, Stefanski,
/// Crainiceanu 2006, Measurement Error in Nonlinear Models, chapter 4).
/// @param mean_band_k  mean of the registered frames after BandPass [K].
/// @param motion       of the frames in the mean.
/// @param pattern_k    white part that stays with the sensor, before the band
/// [K].
/// @param noise_k      white part of the mean that does not, before the band
/// [K].
[[nodiscard]] Image SceneOf(const Image& mean_band_k,
                            const std::vector<Motion>& motion,
                            double pattern_k,
                            double noise_k);

}  // namespace ohmglow::internal
