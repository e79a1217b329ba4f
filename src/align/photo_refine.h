// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "align/photo_edges.h"

namespace ohmglow {

struct RefinedMap {
  PlaneMap photo_from_frame;
  double z = 0;         ///< See Likeness().
  double error_px = 0;  ///< Standard error of a place, rms over the frame, frame pixels.
};

/// Moves a map to where small areas of the pictures agree best: each area
/// says where it fits, a robust projective fit joins them, smaller areas and
/// shorter ways follow.
/// @param frame    edges of the frame, made with `blur_px`.
/// @param least_noise  of the photo, see MakeEdges().
/// @param rounds   how many, from coarse to fine; continues a refined map with `first` > 0.
[[nodiscard]] RefinedMap RefinePhotoMap(const EdgeField& frame,
                                        const PhotoLevels& photo,
                                        const PlaneMap& start,
                                        double blur_px,
                                        int first,
                                        int rounds,
                                        double least_noise = 1e-9);

}  // namespace ohmglow
