// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/level_times.h"
#include "heat/stack.h"
#include "ohmglow/heat/heat_options.h"
#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// What the supply did, on a clock that the frames' follow.
struct SupplyCourse {
  SupplyLog log;
  double offset_s = 0;             ///< Log time + this = frame time.
  std::vector<LevelStart> starts;  ///< Of levels that were noted by hand, as the frames have them.
  bool shown = true;               ///< The frames show what the log says of them, as far as known.
  double clock_prob = 1;           ///< That the clocks match like this.
};

/// Whether the offset between log and frames is to be found.
[[nodiscard]] bool SearchesClock(const Case& job, const HeatOptions& options);

/// The log as the frames' clock needs it: the offset as given or found; levels that
/// were noted by hand timed in the frames; of nothing noted at all, the steps that
/// the frames alone show. What is odd about it is said in `result`.
/// @throws DataError  where nothing was noted and the frames do not show it.
[[nodiscard]] SupplyCourse MatchClocks(const Case& job,
                                       const Stack& stack,
                                       const HeatOptions& options,
                                       LocateResult& result);

/// @throws DataError  where nothing is known of the currents: a capture on its own then still has
///                    places, but its watts are at no current that another one's could be set
///                    beside.
void RequireCurrents(const Case& job);

/// @throws DataError  where the frames followed other steps than those that were noted: then the
///                    watts are at no known current either.
void RequireCurrentsFit(const LocateResult& result);

/// Takes out what is read off currents, where the frames alone showed the steps:
/// their heights were taken from the heat itself.
void ForgetCurrents(LocateResult& result);

/// Standard errors of the levels' starts, where the frames alone tell them.
void AddStartErrors(const std::vector<LevelStart>& starts, std::vector<SupplyLevel>& levels);

}  // namespace ohmglow
