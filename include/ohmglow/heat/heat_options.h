// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace ohmglow {

struct HeatOptions {
  int max_bins = 128;          ///< Time bins kept in memory, whatever the frame count; >= 16.
  double clock_range_s = 6;    ///< Offsets searched, to either side; >= 0.
  double clock_step_s = 0.1;   ///< Step of the search before refinement; > 0.

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

}  // namespace ohmglow
