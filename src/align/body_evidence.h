// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <compare>
#include <cstddef>
#include <vector>

#include "align/photo_edges.h"
#include "ohmglow/base/geometry.h"

namespace ohmglow {

/// A body's sides in whole pixels.
struct BodyShape {
  int width = 0;
  int height = 0;
  auto operator<=>(const BodyShape&) const = default;
};

/// Slopes over size, summed along the sides that they cross.
struct SideSums {
  cv::Mat_<float> down;    ///< Of the slope along x, over rows.
  cv::Mat_<float> across;  ///< Of the slope along y, over columns; turned, to be read like `down`.
};

/// What counts as an edge. The typical slope of a photo is a print's or a track's,
/// that of a thermal picture is noise, which its own pixels blur as well.
struct BodyLook {
  double blur_own_px = 0;  ///< Pixels of the picture: detail below is smoothed away.
  double noises = 2;       ///< Typical slopes: what is below counts as noise.
};
inline constexpr BodyLook kPhotoLook = {0, 2};
inline constexpr BodyLook kThermalLook = {1.2, 1};

/// Off by what a map leaves open.
inline constexpr double kBodyOffMm = 0.2;
/// Share of a side that is looked at: corners are round and shared.
inline constexpr double kBodyAlong = 0.8;

/// Log likelihood ratio of a body that does as well as this share of all places.
[[nodiscard]] double RarityEvidence(double share);

/// A picture seen along the axes of a list, and how far the bodies bear that out.
class BodyView {
 public:
  /// @param bodies_mm  outlines of the list, along its axes.
  /// @param picture_from_board  any camera's view of the board.
  BodyView(const PhotoLevels& picture,
           const PlaneMap& picture_from_board,
           const std::vector<cv::Rect2d>& bodies_mm,
           const BodyLook& look);

  /// By how much a body's side may lie off from now on.
  void Allow(double off_mm);

  /// See BodyEvidence(), of the same bodies moved a little.
  /// @param moved  map of the view's pixels; sizes stay.
  [[nodiscard]] double Evidence(const PlaneMap& moved = {}) const;

  /// A body that shows better a little aside.
  struct Vote {
    Point at;
    Point shift;
    double evidence = 0;
  };
  /// Where each body shows best around its place.
  [[nodiscard]] std::vector<Vote> Votes(const PlaneMap& moved, double reach_mm) const;

  /// Middles of the bodies in view [px].
  [[nodiscard]] std::vector<Point> Places() const;
  [[nodiscard]] PlaneMap PictureFromBoard(const PlaneMap& moved) const;
  [[nodiscard]] cv::Size size() const { return view_.seen.size(); }
  [[nodiscard]] double px_per_mm() const { return px_per_mm_; }

 private:
  struct Body {
    Point center;
    std::size_t shape = 0;  // Which of shapes_.
  };

  PlaneMap picture_from_board_;
  cv::Matx33d board_from_view_;
  double px_per_mm_ = 1;
  double off_px_ = 0;
  StaticView view_;
  SideSums sums_;
  std::vector<Body> bodies_;  // In view.
  std::vector<BodyShape> shapes_;
  std::vector<std::vector<float>> anywhere_;  // What places all over have of each shape, in order.
};

/// How much more likely a map is than one that lays the bodies anywhere: the sum
/// of log likelihood ratios over the bodies in view. A body speaks for the map
/// where all its sides are edges of one sign; how rare that is, places all over
/// the same picture say. Edges count as in photos.
[[nodiscard]] double BodyEvidence(const PhotoLevels& picture,
                                  const PlaneMap& picture_from_board,
                                  const std::vector<cv::Rect2d>& bodies_mm);

}  // namespace ohmglow
