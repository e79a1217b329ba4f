// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

#include "ohmglow/base/geometry.h"

namespace ohmglow {

constexpr int kMapFreedom = 8;
using MapVector = Eigen::Matrix<double, kMapFreedom, 1>;
using MapNormal = Eigen::Matrix<double, kMapFreedom, kMapFreedom>;

/// Shift of a pixel of a picture [px] by each parameter of a small projective
/// map. Columns: dx, dy, turn, stretch, two more affine ones, two of perspective.
[[nodiscard]] Eigen::Matrix<double, 2, kMapFreedom> ShiftBy(cv::Size size_px, double x, double y);

/// The small map with these parameters, near the identity where they are 0.
[[nodiscard]] PlaneMap SmallMap(const MapVector& parameters, cv::Size size_px);

/// The parameters that normal equations ask for, and their covariance.
struct MapSolution {
  MapVector parameters;
  MapNormal covariance;
};
[[nodiscard]] MapSolution SolveMap(const MapNormal& normal, const MapVector& right);

/// Standard error of a place [px], its root mean square over the picture.
[[nodiscard]] double ErrorOver(const MapNormal& covariance, cv::Size size_px);

}  // namespace ohmglow
