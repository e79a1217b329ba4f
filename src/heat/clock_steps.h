// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "ohmglow/input/case.h"

namespace ohmglow {

/// One change of the current in a log: it happened somewhere between two rows.
struct LogStep {
  std::size_t before = 0;  ///< Last row of the old current.
  std::size_t after = 0;   ///< First row of the new one; further on: a ramp.
  double early_s = 0;      ///< Earliest time of the change, on the log's clock.
  double late_s = 0;       ///< Latest.
  bool ramp = false;       ///< Rows lie within the change: it is known as it is.
  [[nodiscard]] double middle_s() const { return 0.5 * (early_s + late_s); }
};

/// The changes of the current, each between two rows of a regular log. Rows
/// that a log wrote at changes alone are taken at their word.
[[nodiscard]] std::vector<LogStep> FindSteps(const SupplyLog& log);

/// Log probability of an offset, for the steps that it leaves out of the film:
/// who films and logs together has the steps in the film. Of 1e6 below where
/// no step is left in it: nothing could be told then.
/// @param first_s, last_s  times of the first and the last frame.
[[nodiscard]] double StepsLogPrior(const SupplyLog& log,
                                   double first_s,
                                   double last_s,
                                   double offset_s);

/// The log with each step sharp at its own time (a ramp: moved by the
/// difference to its middle).
/// @param at_s  one time a step, on the log's clock.
[[nodiscard]] SupplyLog PlaceSteps(const SupplyLog& log,
                                   const std::vector<LogStep>& steps,
                                   const std::vector<double>& at_s);

}  // namespace ohmglow
