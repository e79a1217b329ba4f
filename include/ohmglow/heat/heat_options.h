// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace ohmglow {

struct HeatOptions {
  int max_bins = 128;            ///< Time bins kept in memory, whatever the frame count; >= 16.
  int pattern_iterations = 7;   ///< Steps of the solve for the sensor pattern; 0: leave it in.
  int pattern_modes = 6;         ///< Slow courses in time that the scene may take meanwhile; >= 1.
  double pattern_ridge = 1e-3;   ///< Pull of the pattern to zero, against 1 a frame; > 0.
  int drift_order = 3;           ///< Degree of the drift that the clock grants; 1 .. 7.
  double misplaced_px = 0.03;    ///< Registration error left at an edge of the picture; >= 0.
  double clock_range_s = 6;      ///< Offsets searched, to either side; >= 0.
  double clock_step_s = 0.1;     ///< Step of the search before refinement; > 0.

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

}  // namespace ohmglow
