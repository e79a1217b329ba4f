// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/drive.h"
#include "heat/source_courses.h"
#include "heat/temporal_model.h"

namespace ohmglow {

/// The course of one kind of source, as the pixels show it.
struct SourceKind {
  Eigen::VectorXd shape;  ///< Weighted and projected, unit norm.
  double strength = 0;    ///< Norm of the projected course of a unit final rise.
  double reached = 0;     ///< That course's value at the end of the highest current.
};

/// A few kinds of source that stand for all: the first in the middle of the
/// spread, each next one that which those before describe worst, until all are
/// described well enough: the better the longer the capture is against C/H.
/// @param exponent  power ~ current^exponent.
[[nodiscard]] std::vector<SourceKind> SelectKinds(const SourceCourses& sources,
                                                  const TemporalModel& model,
                                                  const Drive& drive,
                                                  double exponent);

}  // namespace ohmglow
