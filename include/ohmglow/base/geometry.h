// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

namespace ohmglow {

/// Pixel convention, for the whole project: origin at the top left, +x right,
/// +y down, pixel centres at whole numbers. Transforms are named
/// target_from_source.
using Point = cv::Point2d;

/// A similarity about the centre ((width-1)/2, (height-1)/2) of a frame:
/// rotation from +x towards +y, scale, then shift. This is the form of
/// motion.csv, where it maps a pixel of the reference frame to another frame.
struct Similarity {
  double dx_px = 0;
  double dy_px = 0;
  double rotation_deg = 0;
  double scale = 1;

  /// The 2 x 3 matrix of the map for frames of the given size [px].
  [[nodiscard]] cv::Matx23d Matrix(cv::Size frame_size_px) const;
  /// Maps one point.
  [[nodiscard]] Point Apply(Point p, cv::Size frame_size_px) const;
  /// The similarity that maps back.
  [[nodiscard]] Similarity Inverse() const;
  /// `this` after `first`: p -> this(first(p)).
  [[nodiscard]] Similarity After(const Similarity& first) const;
};

/// A projective map of the plane; affine maps have (0, 0, 1) as last row.
struct PlaneMap {
  cv::Matx33d matrix = cv::Matx33d::eye();

  [[nodiscard]] Point Apply(Point p) const;
  [[nodiscard]] PlaneMap Inverse() const;
  /// The 2 x 2 derivative at p, target units per source unit.
  [[nodiscard]] cv::Matx22d Jacobian(Point p) const;
};

/// The similarity as a map of pixels of frames of the given size.
[[nodiscard]] PlaneMap ToPlaneMap(const Similarity& motion, cv::Size frame_size_px);

/// The similarity nearest to a map, by the squared distance of where they put
/// the pixels of a frame (a grid over it); exact where the map is one.
/// Source: Umeyama, IEEE Trans. Pattern Anal. 13 (1991) 376-380, whose plane
/// case has the closed form used here.
[[nodiscard]] Similarity BestSimilarity(const PlaneMap& map, cv::Size frame_size_px);

}  // namespace ohmglow
