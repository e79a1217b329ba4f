// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/place_courses.h"

#include <utility>

namespace ohmglow {

PlaceCourses::PlaceCourses(const Response& response,
                           const TemporalModel& model,
                           const Drive& drive,
                           SourceCourses sources)
    : response_(response), model_(model), drive_(drive), sources_(std::move(sources)) {}

PlaceCourses::Place PlaceCourses::At(Point at_px) {
  const Detector::Best best = response_.detector.BestAt(at_px);
  auto found = sized_.find(best.sigma_px);
  if (found == sized_.end()) {
    const TemporalModel background = model_.Resoftened(best.covariance);
    const CourseModel courses(background, drive_, sources_);
    found = sized_.insert({best.sigma_px, {background, courses}}).first;
  }
  const Sized& sized = found->second;
  const Eigen::VectorXd course = model_.Restore(
      SpotCourse(response_.courses, response_.seen, at_px, best.sigma_px, best.surroundings_px));
  return {sized.background.Project(course), &sized.background, &sized.courses};
}

}  // namespace ohmglow
