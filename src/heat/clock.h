// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <optional>

#include "heat/plate.h"
#include "heat/source_courses.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/heat/heat_options.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

struct ClockFit {
  double offset_s = 0;  ///< Log time + offset = frame time; at the first frame, with a rate.
  double sigma_s = 0;   ///< Standard error.
  /// Much heat has sudden changes, and the log's steps explain little of it.
  bool foreign = false;
};

/// A log and how its clock goes.
struct TimedLog {
  SupplyLog log;  ///< Every step where the frames see it between its two rows; rate taken out.
  ClockFit fit;
};

/// The clock offset under which heat explains the picture best, by two ways
/// that err differently, weighted by what they claim: by blocks, and by spots
/// (`SpotReader`). By blocks: the offset under which heat sources of all kinds explain the picture
/// best: sum over blocks of pixels of the gain in profile likelihood of the
/// best kind, noise of each block unknown, smooth courses given away. A lag
/// cannot stand in for an offset: it rounds the corners of the course at the
/// steps, an offset moves them.
/// Between two rows of the log the time of a step is free; so it is in a gap.
[[nodiscard]] TimedLog TimeLog(const Stack& stack,
                               const SupplyLog& log,
                               const Plate& plate,
                               double mm_per_pixel,
                               const HeatOptions& options);

/// The same around an offset that is known to a quarter of a second.
[[nodiscard]] TimedLog TimeLogNear(const Stack& stack,
                                   const SupplyLog& log,
                                   const Plate& plate,
                                   double mm_per_pixel,
                                   const HeatOptions& options,
                                   double around_s);

}  // namespace ohmglow
