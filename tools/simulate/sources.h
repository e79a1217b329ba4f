// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "board.h"
#include "drive.h"
#include "stack.h"

namespace ohmglow::simulate {

/// Heat somewhere on the board, and when.
struct HeatSource {
  enum class When { kCurrent, kWindow };

  std::string ref;
  std::string kind;  ///< A part's kind, or contact, track, standby, warm_part, hand.
  Point center_mm;
  bool top = true;
  double power_w = 0;  ///< At the highest current, or while it is on.
  When when = When::kCurrent;
  double exponent = 2;  ///< kCurrent: power ~ current^exponent.
  double begin_s = 0;   ///< kWindow.
  double end_s = 0;     ///< kWindow.
  bool is_fault = false;
  int part = -1;  ///< Index of the part it sits in, or -1.
  int lane = 0;   ///< Field of the solver; faults have their own.
  std::vector<std::pair<std::size_t, double>> cells;  ///< Cell and share; shares sum to 1.

  [[nodiscard]] double Power(const Drive& drive, double time_s) const;
};

/// Faults first, then contacts, track, inductor, standby, warm part, hand.
/// @throws DataError  if the board has no part where a fault is wanted.
[[nodiscard]] std::vector<HeatSource> MakeSources(const Scenario& scenario,
                                                  const Board& board,
                                                  const BoardStack& stack);

/// Sum of power / amps^2 [Ohm] and of power / amps [V] of what the current heats.
[[nodiscard]] std::pair<double, double> RailLoad(const std::vector<HeatSource>& sources,
                                                 const Drive& drive);

}  // namespace ohmglow::simulate
