// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <vector>

#include "heat/drive.h"
#include "heat/power_map.h"
#include "heat/response.h"
#include "heat/stack.h"
#include "heat/temporal_model.h"
#include "ohmglow/input/case.h"
#include "ohmglow/locate.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// The frames where they belong, folded into time bins, the sensor's pattern out.
struct Registered {
  Alignment alignment;
  Stack stack;
  /// Of pictures: share of the frames in which a pixel stood at the upper end of their
  /// range; empty for temperatures.
  Image clipped_share;
};

/// @param report  called with the share done, 0 .. 1; may be empty.
/// @throws DataError  see Align(), BuildStack().
[[nodiscard]] Registered Register(const Case& job,
                                  const LocateOptions& options,
                                  const std::function<void(double)>& report);

/// The stack of Register() made anew from the frames, which must be temperatures: for a capture
/// whose bins are too large to be kept until it is known that they are not needed again.
/// @param alignment  from Register().
[[nodiscard]] Stack StackOf(const Case& job,
                            const LocateOptions& options,
                            const Alignment& alignment);

/// What was computed on the way to a result, for whatever asks further
/// questions of the same capture.
struct Analysis {
  LocateResult result;
  std::unique_ptr<const TemporalModel> model;
  std::unique_ptr<const Drive> drive;
  Response response;
  PowerMap power;
  std::vector<Image> quarters_k;  ///< Mean picture of each quarter of the capture, in time [K].
};

/// Mean pictures of the quarters of a capture, in time.
[[nodiscard]] std::vector<Image> TimeQuarters(const Stack& stack);

/// The one chain of stages, from a capture to its ranked places; see Locate().
[[nodiscard]] Analysis Analyze(const Case& job, const LocateOptions& options);

/// The same chain without its places: what a capture measures, not what it shows. Candidates,
/// verdict and advice stay empty; detectable_w is what the noise allows, where Analyze() raises
/// it to what it saw and doubted.
[[nodiscard]] Analysis AnalyzeHeat(const Case& job, const LocateOptions& options);

}  // namespace ohmglow
