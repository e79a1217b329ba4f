// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/align/alignment.h"
#include "ohmglow/base/geometry.h"

namespace ohmglow::internal {

/// A map from one frame to another of the same size, both taken from their
/// centres: projective, (2, 2) = 1. Maps are joined by the matrix product.
using Motion = cv::Matx33d;

inline constexpr int kMostParameters = 8;

/// A motion as displacements, all in pixels: shift x, shift y, then rotation,
/// scale, two shears (along +x against +y, and along the diagonals) and two
/// perspectives (along x, along y), each as displacement rms over the frame.
/// The models of motion are the first 2, 3, 4 or 8 of them.
using MotionVector = cv::Vec<double, kMostParameters>;
using MotionMatrix = cv::Matx<double, kMostParameters, kMostParameters>;

[[nodiscard]] int NumParameters(MotionModel model);

/// Root mean square distance of the frame's pixels from its centre [px].
[[nodiscard]] double RmsRadius(cv::Size size_px);
/// By what a perspective's displacement x (x, y) is divided to be 1 px rms:
/// .x for the one along x, .y for that along y [px^2].
[[nodiscard]] Point PerspectiveScale(cv::Size size_px);

[[nodiscard]] Motion ToMotion(const Similarity& similarity);
[[nodiscard]] MotionVector ToVector(const Motion& motion, cv::Size size_px);
[[nodiscard]] Motion FromVector(const MotionVector& v, cv::Size size_px);
/// With (2, 2) = 1.
[[nodiscard]] Motion InverseOf(const Motion& motion);
/// `motion` after `first`, with (2, 2) = 1.
[[nodiscard]] Motion Joined(const Motion& motion, const Motion& first);
/// In pixel coordinates of the frames.
[[nodiscard]] PlaneMap ToPlaneMap(const Motion& motion, cv::Size size_px);
/// Squared displacement, averaged over the frame, per covariance of the vector.
[[nodiscard]] double MeanSquare(const MotionMatrix& covariance_px2, cv::Size size_px);
/// Displacement rms over the frame [px].
[[nodiscard]] double DisplacementPx(const MotionVector& v, cv::Size size_px);

}  // namespace ohmglow::internal
