// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <vector>

#include "align/model_choice.h"
#include "align/search.h"

namespace ohmglow::internal {

/// A used frame kept while the scene is learned.
struct Snapshot {
  int index = 0;
  Image frame_k;  ///< High-passed.
  Image band_k;   ///< Band-passed, for registration.
  Motion frame_from_reference = Motion::eye();
  double correlation = 0;
  bool placed = true;  ///< False where it could not be registered.
};

struct LearnOptions {
  int first_frames = 8;
  int iterations = 6;
  double max_shift_px = 25;
  double band_noise_k = 0.01;
  int max_points = 1;
};

/// The scene in reference coordinates, band-passed and high-passed, and the
/// pattern in sensor coordinates, high-passed [K], and how far a residual is to
/// be trusted at each place of the reference frame (share of the white noise in
/// the variance, 0 .. 1).
struct LearnedScene {
  Image band_k;          ///< What frames are registered to.
  Image band_pattern_k;  ///< What to take from a frame first, in sensor
                         ///< coordinates.
  double drag = 0;       ///< Share by which a fit to the mean itself would fall short
                         ///< of the motion.
  double share_found = 1;  ///< Of the motion, by ShareFound().
  Image model_k;         ///< Empty without pattern iterations.
  Image pattern_k;
  Image weight;
  ModelChoice choice;    ///< Of the motion between the frames.
  bool textured = true;  ///< False where the scene is no more than what noise leaves of itself.
};

/// Registers the snapshots to each other by the band in which the sensor's
/// pattern is weak, then tells scene from pattern by turns: the scene is the
/// mean of the registered frames without the pattern, the pattern is the mean
/// of the frames without the moved scene. What never moved stays in the scene:
/// the pattern starts at 0 and only takes what the motion shows to be the
/// sensor's.
/// @param snapshots  in rising order; the first one is the reference.
[[nodiscard]] LearnedScene LearnScene(std::vector<Snapshot>& snapshots,
                                      const LearnOptions& options,
                                      const std::function<void(double)>& progress);

}  // namespace ohmglow::internal
