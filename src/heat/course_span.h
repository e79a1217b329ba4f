// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/source_kinds.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"

namespace ohmglow {

/// The few directions in time in which a pixel's course holds more than white
/// noise: steps of the shutter's offset, the frame's motion, slow drift, and
/// what heat of the drive makes.
///
/// How much of each there is differs by a thousand between captures. So none
/// is taken out beforehand: the detector learns from the picture itself how
/// large they usually are.
struct CourseSpan {
  Eigen::MatrixXd basis;  ///< Bins x modes, orthonormal, orthogonal to the offset.
  Eigen::MatrixXd kinds;  ///< Modes x kinds: unit courses of a few kinds of source.
  /// Modes x courses: steps, motion and drift to the third degree, the least
  /// that a place may do by itself.
  Eigen::MatrixXd usual;
  /// Largest norm of a kind's course that reaches 1 at the end of the highest current.
  double strength = 0;
};

/// @param model  with the offset alone taken out, nothing shrunk yet.
/// @throws DataError  where shutter events take nearly all bins.
[[nodiscard]] CourseSpan SpanCourses(const Stack& stack,
                                     const TemporalModel& model,
                                     const std::vector<SourceKind>& kinds);

}  // namespace ohmglow
