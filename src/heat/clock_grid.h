// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/source_courses.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Band of detail in which the clock is read: a Gaussian mean of the first
/// width less one of the second, standard deviations in pixels.
inline constexpr double kBandInnerPx = 1.2;
inline constexpr double kBandOuterPx = 4;

/// Such a band, any.
struct DetailBand {
  double inner_px = kBandInnerPx;
  double outer_px = kBandOuterPx;
};

/// The fine structure of every bin's picture on a coarse grid of points.
struct FineGrid {
  std::vector<cv::Point> at;
  Eigen::MatrixXf courses;  ///< Bins x points, weighted and projected.
  Eigen::ArrayXf tremble;   ///< Energy that trembling edges alone give a course.
  Eigen::ArrayXf whole;     ///< Energy of the course, the tremble included.
  double degrees = 1;       ///< Of freedom of a course.
};

/// Courses weighted and projected by `model`.
[[nodiscard]] FineGrid MakeFineGrid(const Stack& stack,
                                    const TemporalModel& model,
                                    const DetailBand& band = {});

/// The grid of some points alone.
[[nodiscard]] FineGrid Select(const FineGrid& grid, const std::vector<Eigen::Index>& points);

/// Gain in profile log likelihood that each kind of source (rows) brings to
/// each point (columns) under one offset; heating only.
[[nodiscard]] Eigen::ArrayXXf KindGains(const FineGrid& grid,
                                        const SourceCourses& sources,
                                        const TemporalModel& model,
                                        const SupplyLog& log,
                                        double offset_s);

/// Points of the largest gains, apart from each other and from the halo of a
/// stronger one; best first.
[[nodiscard]] std::vector<Eigen::Index> FindSpots(const FineGrid& grid,
                                                  const Eigen::ArrayXf& gains);

/// Weighted and projected courses of one kind a column.
[[nodiscard]] Eigen::MatrixXd CoursesOfKinds(const SourceCourses& sources,
                                             const std::vector<Eigen::Index>& kinds,
                                             const TemporalModel& model,
                                             const SupplyLog& log,
                                             double offset_s);

}  // namespace ohmglow
