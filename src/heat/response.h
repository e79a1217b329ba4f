// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/detector.h"
#include "heat/drive.h"
#include "heat/pixel_courses.h"
#include "heat/source_courses.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/image.h"
#include "ohmglow/heat/heat_options.h"

namespace ohmglow {

/// What follows the supply's steps, pixel by pixel.
struct Response {
  /// Bins x pixels (row-major pixels): weighted, what the whole picture shares
  /// taken out, what pixels usually do by themselves shrunk [K].
  Eigen::MatrixXf courses;
  /// Bins x courses, weighted: what any place may do by itself, steps of the
  /// shutter, motion and drift to the third degree.
  Eigen::MatrixXd usual;
  Image noise_k;  ///< Standard deviation of one pixel in one frame, local.
  double noise_median_k = 0;
  double noise_rise_k = 0;  ///< Of `rise_k` at a middling place.
  Image rise_k;  ///< Heat at the end of the highest current over the baseline, lightly smoothed.
  Detector detector;
  /// A cautious rise, pulled to zero by a prior of a few times the noise, over its noise.
  Image rise_z;
  /// What courses, rises and their noise were multiplied by, for surfaces of another emissivity
  /// than the case's; empty: by nothing.
  Image rise_gain;
  Image static_k;  ///< The picture before the heating.
  Mask seen;
  Mask out_of_range;  ///< As in `Stack`.
  Image read_rise_k;  ///< As in `Stack`.
  /// Halos of the strongest places were kept from what the picture shares, which takes a part of
  /// them elsewhere: in a view no wider than heat spreads, and no capture long enough for the
  /// board to warm as a whole.
  bool kept_halos = false;
};

/// The picture before the heating: mean of the first bins.
[[nodiscard]] Image StaticPicture(const Stack& stack);

/// Fits every pixel against the courses that sources of many kinds make.
///
/// The rise is the linear minimum mean square estimate under a prior in which
/// every kind of source is alike probable.
/// @param courses  from PixelCourses() and RemoveCommonOffset() with `model`; softened in place,
///                 for a picture of 640 x 480 has 120 MB of them.
/// @param stack    of its bins only those that StaticBins() counts are read.
/// @param model    the offset alone taken out; what the picture shows of other
///                 courses is learned and the model softened by it.
/// @param view_mm  the shorter side of what is in view; 0: not known.
[[nodiscard]] Response FitResponse(Eigen::MatrixXf courses,
                                   const Stack& stack,
                                   const Drive& drive,
                                   const SourceCourses& sources,
                                   const HeatOptions& options,
                                   TemporalModel& model,
                                   double view_mm = 0);

}  // namespace ohmglow
