// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "heat/plate.h"
#include "heat/stack.h"
#include "ohmglow/heat/heat_options.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// When a level after the first began, as the frames show it.
struct LevelStart {
  double time_s = 0;   ///< Frames' clock.
  double sigma_s = 0;  ///< Standard error.
  bool seen = false;   ///< The frames show this change; else it stands where it may.
};

/// Levels whose times were found, and the log that a supply would have written.
struct LevelTimes {
  std::vector<LevelStart> starts;  ///< One less than there are levels.
  double evidence = 0;             ///< Log likelihood over that nothing follows the steps.
  double freed = 0;                ///< The same for steps of free heights and number.
  bool leads = false;              ///< The liveliest place follows the steps.
  SupplyLog log;                   ///< Frames' clock; no volts.
  /// The changes are in the frames, beyond what a search over noise finds.
  [[nodiscard]] bool found() const;
  /// Found, and no other steps would explain far more as far as a quick search tells: else ask
  /// DiscoverSteps().
  [[nodiscard]] bool fits() const;
};

/// Levels that fit explain this share of what free heights and times explain, and more: 0.9 and
/// more of right lists, mostly less than 0.5 of wrong ones (LEVELS.md).
inline constexpr double kFitShare = 0.7;

/// Finds the times of a current's steps, of which the heights are known, in the
/// frames: those at which the liveliest places of the fine structure (FineGrid),
/// as heat of any kind, have all of their corners. What a step's time is read
/// off is how sharply a place bends, so near heat tells it to a tenth of a bin
/// and broad or far heat to a second; a level too short or too low to leave a
/// trace is placed between its neighbours and said not to be seen.
/// @param levels  two or more; times noted count as far as they are said to hold.
/// @throws DataError  the film is too short for the levels.
[[nodiscard]] LevelTimes TimeLevels(const Stack& stack,
                                    const std::vector<SetLevel>& levels,
                                    const Plate& plate,
                                    double mm_per_pixel,
                                    const HeatOptions& options);

/// The log that levels at these times make; rows as a supply's log has them.
[[nodiscard]] SupplyLog LogOfLevels(const std::vector<SetLevel>& levels,
                                    const std::vector<double>& starts_s,
                                    double first_s,
                                    double last_s);

}  // namespace ohmglow
