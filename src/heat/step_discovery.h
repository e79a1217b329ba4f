// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/level_times.h"
#include "heat/plate.h"
#include "heat/stack.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Steps of a supply of which nothing was noted, as the frames show them.
struct DiscoveredSteps {
  /// Currents in units of the highest, as if all heat went with their square; with
  /// their times. Fewer than two: there were none.
  std::vector<SetLevel> levels;
  double evidence = 0;   ///< Log likelihood over that nothing follows common steps, of strong heat.
  double of_all = 0;     ///< The same of all places, as LevelTimes::evidence.
  bool leads = false;    ///< The liveliest place follows them.
  bool certain = false;  ///< Beyond what is found where no current was switched.
};

/// Whether levels that were noted are refuted by what the frames show by themselves: by certain
/// steps that explain far more, or that the liveliest place follows where it does not follow the
/// noted ones.
[[nodiscard]] bool Refutes(const DiscoveredSteps& steps, const LevelTimes& noted);

/// Looks for steps of power that places of heat have in common: two or more, up
/// or down, each of which the frames show. What switches itself on once, passes
/// by, drifts or cools explains itself and speaks for no steps; so does what
/// the whole picture does. One step alone is never taken for the supply's.
[[nodiscard]] DiscoveredSteps DiscoverSteps(const Stack& stack,
                                            const Plate& plate,
                                            double mm_per_pixel);

}  // namespace ohmglow
