// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/source_courses.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"

namespace ohmglow {

/// What one step of power at any time does to a place: every course that a
/// current's steps make is a sum of these, so a search over the times of the
/// steps needs no more than this table.
struct StepTable {
  std::vector<double> times_s;  ///< Even steps over the film, frames' clock.
  /// Per response: bins x times, weighted and projected.
  std::vector<Eigen::MatrixXf> courses;
  /// Per pair of responses: times x times, inner products of their courses.
  std::vector<Eigen::MatrixXf> products;
  /// Responses beside the first, in shares of it, as kinds of source have them: mean and spread.
  Eigen::ArrayXf usual;
  Eigen::ArrayXf spread;
  /// Smooth courses that no step has: bins x courses, projected, orthonormal.
  Eigen::MatrixXf smooth;
  double degrees = 1;  ///< Of freedom that a course has left.

  [[nodiscard]] int num_times() const { return static_cast<int>(times_s.size()); }
  [[nodiscard]] Eigen::Index num_responses() const {
    return static_cast<Eigen::Index>(courses.size());
  }
  [[nodiscard]] const Eigen::MatrixXf& Product(Eigen::Index first, Eigen::Index second) const {
    return products[static_cast<std::size_t>(first * num_responses() + second)];
  }
  [[nodiscard]] double pitch_s() const { return times_s[1] - times_s[0]; }
  [[nodiscard]] int Nearest(double time_s) const;
};

/// @param kinds  what sources do. The table's responses are the principal ones of them, the first
/// of which alone, two, three ... make up those of all kinds ever more nearly.
/// @param count  of responses; the table grows with its square.
[[nodiscard]] StepTable MakeStepTable(const Stack& stack,
                                      const TemporalModel& model,
                                      const SourceCourses& kinds,
                                      Eigen::Index count);

}  // namespace ohmglow
