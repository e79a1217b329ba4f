// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/photo_edges.h"
#include "ohmglow/align/photo_alignment.h"

namespace ohmglow {

/// A coarse map and how well the edges agree under it.
struct PhotoMatch {
  PlaneMap photo_from_frame;
  double agreement = 0;
};

/// Scales, turns and shifts under which the edges agree best, best first, each
/// clearly another than those before.
/// @param photo_from_straight  see PhotoFromStraight().
/// @param blur_px  with which the frame's edges were made.
/// @param most  how many at most.
/// @param least_noise  of the photo, see MakeEdges().
[[nodiscard]] std::vector<PhotoMatch> SearchPhoto(const EdgeField& frame,
                                                  const PhotoLevels& photo,
                                                  const PlaneMap& photo_from_straight,
                                                  const PhotoAlignOptions& options,
                                                  double blur_px,
                                                  int most,
                                                  double least_noise = 1e-9);

/// The main direction of a field's edges, modulo a quarter turn.
[[nodiscard]] double MainTurnDeg(const EdgeField& edges);

/// Root mean square distance over a frame between where two maps put a pixel,
/// in pixels of the frame under the first.
[[nodiscard]] double FrameDistance(const PlaneMap& a, const PlaneMap& b, cv::Size frame_size_px);

}  // namespace ohmglow
