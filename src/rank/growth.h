// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "heat/drive.h"
#include "heat/response.h"
#include "heat/temporal_model.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// Course in time of one candidate: peak rise, warm area and heat, bin by
/// bin, with offsets and drift (as fitted together with the heat) taken out.
struct Growth {
  std::vector<GrowthPoint> points;
  std::optional<double> onset_s;  ///< First time the fitted rise exceeds three times its error.
};

/// So far around a place its growth is read.
inline constexpr double kGrowthReachMm = 8;

/// @param lag_s  lag of the candidate's course.  @param exponent  of its drive.
[[nodiscard]] Growth MeasureGrowth(const Response& response,
                                   const TemporalModel& model,
                                   const Drive& drive,
                                   Point center_px,
                                   double mm_per_pixel,
                                   double lag_s,
                                   double exponent);

}  // namespace ohmglow
