// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "align/photo_edges.h"
#include "align/photo_refine.h"
#include "ohmglow/align/photo_alignment.h"

namespace ohmglow {

/// Pictures shrunk to about a size, and the way back.
struct Shrunk {
  Image picture;
  Mask seen;
  cv::Matx33d small_from_large = cv::Matx33d::eye();
};

/// By a whole factor, to about this width.
[[nodiscard]] Shrunk ShrinkTo(const Image& picture, const Mask& seen, int width_px);

/// Without pixels that have no value and without the sensor's stripes.
[[nodiscard]] StaticView UsableView(const StaticView& view);

/// 8-bit BGR or grey as one channel of floats.
[[nodiscard]] Image GreyOf(const cv::Mat& photo);

/// A photo is searched about this wide: finer detail is no help.
inline constexpr int kPhotoWidthPx = 1000;

/// Of the error: areas that overlap err alike, and lenses bend the photo. Measured on
/// simulated captures: one error in ten was 1.7 times what the areas say.
inline constexpr double kErrorCaution = 1.5;

/// Smoothing with which the edges below are made.
inline constexpr double kEdgeBlurPx = 1.2;

/// Maps under which the edges of a frame and a photo agree best, the best first,
/// each a camera's view of a plane; the last ones only coarsely refined.
/// @param frame  made with kEdgeBlurPx.
/// @param straight  see PhotoFromStraight().
/// @param least_noise  of the photo, see MakeEdges().
[[nodiscard]] std::vector<RefinedMap> FindMaps(const EdgeField& frame,
                                               const PhotoLevels& photo,
                                               const PlaneMap& straight,
                                               const PhotoAlignOptions& options,
                                               double least_noise = 1e-9);

/// Likeness of the best map that lies elsewhere than the first; 0 where there is none.
[[nodiscard]] double RivalZ(const std::vector<RefinedMap>& maps, cv::Size frame_size_px);

/// Probability that a map with this likeness is no chance match, the best rival
/// having the other: a logistic function of the difference.
[[nodiscard]] double MatchTrust(double z, double rival_z);

}  // namespace ohmglow
