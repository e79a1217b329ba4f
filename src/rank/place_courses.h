// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <optional>
#include <vector>

#include "heat/drive.h"
#include "heat/response.h"
#include "heat/source_courses.h"
#include "heat/temporal_model.h"
#include "rank/course.h"
#include "rank/exponent_profile.h"
#include "rank/odd_bins.h"

namespace ohmglow {

/// Heat whose steps are as clear as this counts by them alone: one kind of source holds nine tenths
/// of what no drift makes.
inline constexpr double kClearSteps = 14;

/// Courses of places, each read at the spot size that suits it and weighed by
/// what places of that size do by themselves. Bins in which something went wrong (`OddBins`)
/// do not count.
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
    /// How clearly the course is one of the supply's heat by its steps alone, beside
    /// what no model of a source knows of it: grows with the signal, then stays.
    double clear_steps = 0;
    Eigen::VectorXd restored;  ///< Before that projection.
  };
  [[nodiscard]] Place At(Point at_px);
  /// The same at a given spot size.
  [[nodiscard]] Place At(Point at_px, double sigma_px);
  /// ... and at one beyond the detector's, with the background of its coarsest.
  [[nodiscard]] Place AtWide(Point at_px, double sigma_px, double surroundings_px);

  /// How the heat of a place goes with the supply. Where its steps are strong the
  /// background that was learned is full of its heat, and shrinks what is alike: then the
  /// course counts by its steps alone too, and is the supply's where either view says so.
  [[nodiscard]] CourseFit FitOf(const Place& place);

  [[nodiscard]] const SourceCourses& sources() const { return sources_; }

 private:
  struct Sized {
    TemporalModel background;
    CourseModel courses;
  };

  [[nodiscard]] Place Read(Point at_px, const Detector::Best& size);
  [[nodiscard]] const ExponentProfile& ExponentsOf(const TemporalModel& background);
  [[nodiscard]] double ClearSteps(const Eigen::VectorXd& course) const;

  const Response& response_;
  const TemporalModel& model_;
  const Drive& drive_;
  SourceCourses sources_;
  HeatShapes shapes_;
  Eigen::MatrixXd drift_;  // bins x courses, orthonormal: what any place may do
  OddBins odd_bins_;
  Eigen::MatrixXd steps_;          // bins x kinds, unit norm: what no drift makes of them
  std::map<double, Sized> sized_;  // by the spot's size; nodes stay where they are
  std::optional<Sized> plain_;     // white noise beside any drift
  // Exponents are asked of few places: made when first asked for.
  std::vector<Eigen::MatrixXd> of_exponents_;
  std::map<const TemporalModel*, ExponentProfile> exponents_;
};

}  // namespace ohmglow
