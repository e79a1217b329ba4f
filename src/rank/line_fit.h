// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Heat along a straight piece of copper: as much from each millimetre of it.
struct HeatLine {
  double length_mm = 0;  ///< 0: none was fitted.
  double angle_rad = 0;  ///< Of the picture's x axis towards its y axis.
  Point middle_px;
  double power_w = 0;  ///< At the highest current.
  /// Log likelihood of the line over that of a round source, each at its best, tempered by
  /// what the better one leaves over.
  double log_over_round = 0;
  /// What a point with all its heat would show: modes x radii, K.
  Eigen::MatrixXd profile_k;
};

/// What is asked of a place.
struct LineQuestion {
  Point at_px;
  double mm_per_pixel;
  double reach_mm;        ///< Beyond this the heat of other places matters more.
  double noise_k;         ///< Of one pixel in one frame.
  double radius_step_mm;  ///< Of all profiles.
  /// Rise that a round source there has in the best fit: modes x radii.
  Eigen::MatrixXd round_k;
  /// What a watt in a point makes, on each board that may be the true one: modes x radii.
  std::vector<Eigen::MatrixXd> points_k_w;
};

/// Fits a line of even heat to the courses around a place, and a round source of free middle and
/// power. What the surroundings have in common is left out of both.
/// @param modes  modes x pixels, what other places show taken out.
[[nodiscard]] HeatLine FitLine(const Eigen::MatrixXf& modes,
                               const Mask& seen,
                               const LineQuestion& question);

/// Logarithm of the odds that a place is a line rather than a part, as far as its shape tells.
[[nodiscard]] double LogLine(const HeatLine& line);

/// Whether a place is rather a line than a part.
[[nodiscard]] bool IsLine(const HeatLine& line);

/// Points of even power on a line, for taking it out of a picture [frame pixels].
[[nodiscard]] std::vector<Point> PointsOf(const HeatLine& line, double mm_per_pixel);

/// Whether the whole line lies on the body of one listed part of the side that is filmed.
[[nodiscard]] bool InOnePart(const HeatLine& line,
                             double mm_per_pixel,
                             const PlaneMap& board_from_frame,
                             const std::vector<Part>& parts,
                             BoardSide side);

/// How far a place lies from the nearest point of a line [frame pixels].
[[nodiscard]] double FromLinePx(const HeatLine& line, double mm_per_pixel, Point at_px);

}  // namespace ohmglow
