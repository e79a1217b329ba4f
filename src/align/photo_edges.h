// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/align/static_view.h"
#include "ohmglow/base/geometry.h"

namespace ohmglow {

/// Directions of edges: w (cos 2a, sin 2a), a the angle of the slope, w from 0
/// (noise) to 1 (an edge). Twice the angle, since dark on bright in one picture
/// may be bright on dark in the other.
struct EdgeField {
  cv::Mat_<cv::Vec2f> value;
  Mask seen;
  [[nodiscard]] cv::Size size() const { return value.size(); }
};

/// @param blur_px  detail below it is smoothed away.
/// @param least_noise  slopes are weighed against this at least [1/px]: a drawing
///        has no noise of its own.
[[nodiscard]] EdgeField MakeEdges(const Image& picture,
                                  const Mask& seen,
                                  double blur_px,
                                  double least_noise = 1e-9);

/// Half the size each way.
[[nodiscard]] EdgeField Halved(const EdgeField& edges);

/// A photo and its means over squares of 2 x 2, 3 x 3, ... pixels, made once.
class PhotoLevels {
 public:
  explicit PhotoLevels(const Image& photo);

  [[nodiscard]] const Image& full() const { return levels_.front(); }
  [[nodiscard]] int cols() const { return full().cols; }
  [[nodiscard]] int rows() const { return full().rows; }
  /// Means over squares of `step` pixels, or of as many as there are made.
  [[nodiscard]] const Image& Means(int step) const;

 private:
  std::vector<Image> levels_;
};

/// The photo as seen through `photo_from_target`, smoothed so that nothing
/// finer than a target pixel is left where the map shrinks it.
[[nodiscard]] StaticView SeenThrough(const PhotoLevels& photo,
                                     const PlaneMap& photo_from_target,
                                     cv::Size size);

/// Likeness of two fields over what both see, in standard errors of chance.
/// @param blur_px  with which they were made: neighbours are alike over it.
[[nodiscard]] double Likeness(const EdgeField& a, const EdgeField& b, double blur_px);

/// The map from a picture seen straight to the photo, such that the photo's
/// edges run two ways at right angles; the middle stays where it is.
/// @param most_tilt_deg  of the photo camera's axis.
[[nodiscard]] PlaneMap PhotoFromStraight(const Image& photo, double most_tilt_deg);

}  // namespace ohmglow
