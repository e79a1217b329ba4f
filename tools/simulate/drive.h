// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "scenario.h"

namespace ohmglow::simulate {

struct Level {
  double start_s = 0;
  double end_s = 0;
  double amps = 0;
};

/// The supply's staircase on the capture's clock (frame 0 at 0 s): 0 A before
/// the first level, the last level to the end (or 0 A, where asked for).
struct Drive {
  std::vector<Level> levels;
  double top_amps = 0;
  double ramp_s = 0;  ///< That a rise takes, from the level's start on; falls are sudden.
  [[nodiscard]] double Amps(double time_s) const;
  /// Ends the present level and begins another that lasts until further notice.
  void Switch(double time_s, double amps);
};

[[nodiscard]] Drive MakeDrive(const Scenario& scenario);

struct LogRow {
  double time_s, volts, amps;
};

/// What the supply writes down, on its own clock and at its own rate: volts
/// across rail and leads, rounded to 10 mV, amps to 1 mA.
/// @param rail_ohm  everything on the board that follows current squared.
/// @param junction_v  a constant drop while current flows.
[[nodiscard]] std::vector<LogRow> MakeLog(const Drive& drive,
                                          const Scenario& scenario,
                                          double rail_ohm,
                                          double junction_v);

}  // namespace ohmglow::simulate
