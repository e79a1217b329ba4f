// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>

#include "heat/drive.h"
#include "heat/response.h"
#include "heat/source_courses.h"
#include "heat/temporal_model.h"
#include "rank/course.h"

namespace ohmglow {

/// Courses of places, each read at the spot size that suits it and weighed by
/// what places of that size do by themselves.
class PlaceCourses {
 public:
  /// All arguments must outlive it.
  PlaceCourses(const Response& response,
               const TemporalModel& model,
               const Drive& drive,
               SourceCourses sources);

  struct Place {
    Eigen::VectorXd course;  ///< Projected by `background`.
    const TemporalModel* background;
    const CourseModel* courses;
  };
  [[nodiscard]] Place At(Point at_px);

  [[nodiscard]] const SourceCourses& sources() const { return sources_; }

 private:
  struct Sized {
    TemporalModel background;
    CourseModel courses;
  };

  const Response& response_;
  const TemporalModel& model_;
  const Drive& drive_;
  SourceCourses sources_;
  std::map<double, Sized> sized_;  // by the spot's size; nodes stay where they are
};

}  // namespace ohmglow
