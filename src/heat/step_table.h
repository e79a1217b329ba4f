// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/source_courses.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"

namespace ohmglow {

/// What one step of power at any time does to a place of any kind: every course
/// that a current's steps make is a sum of these, so a search over the times of
/// the steps needs no more than this table.
struct StepTable {
  std::vector<double> times_s;  ///< Even steps over the film, frames' clock.
  /// Per kind of source: bins x times, weighted and projected.
  std::vector<Eigen::MatrixXf> courses;
  /// Per kind: times x times, inner products of those courses.
  std::vector<Eigen::MatrixXf> products;
  /// Smooth courses that no step has: bins x courses, projected, orthonormal.
  Eigen::MatrixXf smooth;
  double degrees = 1;  ///< Of freedom that a course has left.

  [[nodiscard]] int num_times() const { return static_cast<int>(times_s.size()); }
  [[nodiscard]] double pitch_s() const { return times_s[1] - times_s[0]; }
  [[nodiscard]] int Nearest(double time_s) const;
};

/// @param kinds  a few; the table grows with their number.
[[nodiscard]] StepTable MakeStepTable(const Stack& stack,
                                      const TemporalModel& model,
                                      const SourceCourses& kinds);

}  // namespace ohmglow
