// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/drive.h"
#include "heat/source_courses.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/base/image.h"
#include "ohmglow/heat/heat_options.h"

namespace ohmglow {

/// What follows the supply's steps, pixel by pixel.
struct Response {
  /// Bins x pixels (row-major pixels): weighted, nuisance and common offset
  /// of the frames taken out [K].
  Eigen::MatrixXf courses;
  Image noise_k;  ///< Standard deviation of one pixel in one frame, local.
  double noise_median_k = 0;
  double noise_rise_k = 0;  ///< Of `rise_k` at a middling place.
  Image rise_k;    ///< Heat at the end of the highest current over the baseline, lightly smoothed.
  Image match_k;   ///< Strength of the best kind's course over the surroundings, as `courses`.
  Image z;         ///< Best signal-to-noise ratio over kinds of source and spot sizes.
  Image static_k;  ///< The picture before the heating.
  Mask seen;
  Mask out_of_range;  ///< As in `Stack`.
};

/// Weighted, projected courses of all pixels with the frames' common offset
/// (camera drift, shutter steps) taken out: its median over the pixels that
/// answer least.
[[nodiscard]] Eigen::MatrixXf PixelCourses(const Stack& stack, const TemporalModel& model);

/// Removes the common offset: median over the quarter of the pixels whose
/// course has least of the drive's lags in it.
void RemoveCommonOffset(Eigen::MatrixXf& courses,
                        const TemporalModel& model,
                        const Drive& drive,
                        const Mask& seen);

/// Fits every pixel against the courses that sources of many kinds make.
///
/// z is a generalised likelihood ratio: for each kind and each spot size the
/// amplitude over its standard error, white noise and what a registration
/// error makes of the static picture's slope counted together; the best of
/// them stands. The rise is the linear minimum mean square estimate under a
/// prior in which every kind of source is alike probable.
[[nodiscard]] Response FitResponse(Eigen::MatrixXf courses,
                                   const Stack& stack,
                                   const TemporalModel& model,
                                   const Drive& drive,
                                   const SourceCourses& sources,
                                   const HeatOptions& options);

}  // namespace ohmglow
