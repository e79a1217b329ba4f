// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/place_courses.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "heat/directions.h"

namespace ohmglow {

PlaceCourses::PlaceCourses(const Response& response,
                           const TemporalModel& model,
                           const Drive& drive,
                           SourceCourses sources)
    : response_(response),
      model_(model),
      drive_(drive),
      sources_(std::move(sources)),
      shapes_(MakeHeatShapes(model, drive, sources_)),
      drift_(Orthonormal(response.usual)),
      odd_bins_(model, drive) {
  const Eigen::Index num_kinds = sources_.mixture.cols();
  steps_.resize(model.num_bins(), 2 * num_kinds);
  for (const int exponent : {1, 2}) {
    Eigen::MatrixXd lags = model.ProjectedLags(drive, sources_.lags_s, exponent);
    for (Eigen::Index j = 0; j < lags.cols(); ++j) lags.col(j) = model.Restore(lags.col(j));
    lags -= drift_ * (drift_.transpose() * lags);
    steps_.middleCols((exponent - 1) * num_kinds, num_kinds) = lags * sources_.mixture;
  }
  steps_.colwise().normalize();
}

double PlaceCourses::ClearSteps(const Eigen::VectorXd& course) const {
  const Eigen::VectorXd beyond = course - drift_ * (drift_.transpose() * course);
  const double match = std::max(0.0, (steps_.transpose() * beyond).maxCoeff());
  const double noise =
      std::pow(response_.noise_median_k, 2) * static_cast<double>(course.size() - drift_.cols());
  const double rest = std::max(noise, beyond.squaredNorm() - match * match);
  return match * std::sqrt(kMisfitDirections / rest);
}

PlaceCourses::Place PlaceCourses::At(Point at_px) {
  return Read(at_px, response_.detector.BestAt(at_px));
}

PlaceCourses::Place PlaceCourses::At(Point at_px, double sigma_px) {
  return Read(at_px, response_.detector.OfSize(sigma_px));
}

PlaceCourses::Place PlaceCourses::AtWide(Point at_px, double sigma_px, double surroundings_px) {
  Detector::Best size = response_.detector.OfSize(sigma_px);
  size.sigma_px = sigma_px;
  size.surroundings_px = surroundings_px;
  return Read(at_px, size);
}

PlaceCourses::Place PlaceCourses::Read(Point at_px, const Detector::Best& best) {
  auto found = sized_.find(best.sigma_px);
  if (found == sized_.end()) {
    const TemporalModel background = model_.Resoftened(best.covariance);
    const CourseModel courses(background, shapes_);
    found = sized_.insert({best.sigma_px, {background, courses}}).first;
  }
  const Sized& sized = found->second;
  const Eigen::VectorXd seen = model_.Restore(
      SpotCourse(response_.courses, response_.seen, at_px, best.sigma_px, best.surroundings_px));
  const Eigen::VectorXd course = odd_bins_.Mend(seen, response_.noise_median_k).course;
  return {sized.background.Project(course),
          &sized.background,
          &sized.courses,
          ClearSteps(course),
          course};
}

const ExponentProfile& PlaceCourses::ExponentsOf(const TemporalModel& background) {
  auto found = exponents_.find(&background);
  if (found == exponents_.end()) {
    if (of_exponents_.empty()) of_exponents_ = ShapesOfExponents(model_, drive_, sources_);
    found = exponents_.emplace(&background, ExponentProfile(background, of_exponents_)).first;
  }
  return found->second;
}

CourseFit PlaceCourses::FitOf(const Place& place) {
  const double noise_k = response_.noise_median_k;
  CourseFit fit = place.courses->Fit(place.course, noise_k);
  const ExponentProfile::Exponent exponent =
      ExponentsOf(*place.background).Fit(place.course, noise_k);
  fit.exponent = exponent.value;
  fit.exponent_sigma = exponent.sigma;
  if (place.clear_steps < kClearSteps) return fit;
  if (!plain_) {
    const Eigen::Index modes = response_.detector.covariance().rows();
    TemporalModel background = model_.Resoftened(Eigen::MatrixXd::Identity(modes, modes));
    background.Grant(response_.usual);
    const CourseModel courses(background, shapes_);
    plain_ = Sized{background, courses};
  }
  const CourseFit plain = plain_->courses.Fit(plain_->background.Project(place.restored), noise_k);
  if (std::max(plain.log_by_itself, plain.log_smooth) <
      std::max(fit.log_by_itself, fit.log_smooth)) {
    fit.log_by_itself = plain.log_by_itself;
    fit.log_smooth = plain.log_smooth;
  }
  return fit;
}

}  // namespace ohmglow
