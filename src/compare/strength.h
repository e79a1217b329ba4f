// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

#include "analysis.h"
#include "heat/source_courses.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"

namespace ohmglow {

/// How strongly sources of one kind show in every pixel of a capture: the rise
/// that would be reached in the end, per ampere^exponent. It depends on board
/// and fault, not on how the current was raised, so two captures compare.
class StrengthModel {
 public:
  /// @param sources   the same for both captures.
  /// @param exponent  power ~ current^exponent: 2 a resistance, 1 a junction.
  StrengthModel(const Analysis& analysis, const SourceCourses& sources, double exponent);

  /// The kind whose course goes best with what is seen around a place.
  [[nodiscard]] int BestKind(Point at_px) const;

  /// @return  per pixel, not smoothed; 0 where not seen.
  [[nodiscard]] Image Map(int kind) const;

 private:
  const Analysis& analysis_;
  Eigen::MatrixXd courses_;  // bins x kinds, of unit strength at the highest current
  double per_amps_ = 1;
};

}  // namespace ohmglow
