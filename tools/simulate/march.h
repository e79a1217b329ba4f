// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/base/image.h"
#include "plate.h"
#include "sources.h"

namespace ohmglow::simulate {

/// The board's temperature through the capture, one frame time after another.
/// Starts from rest, as early as the first heat of the past asks for.
class HeatMarch {
 public:
  HeatMarch(const BoardStack& stack, std::vector<HeatSource> sources, Drive drive);

  /// Marches on to a time [s], later than the last.
  void AdvanceTo(double time_s);
  /// What the supply does from the time reached on, until the next call: for a drive
  /// that nobody knows beforehand.
  void Switch(double amps);
  /// Heat of a source at the top current from now on [W].
  void SetPower(std::size_t source, double power_w) { sources_[source].power_w = power_w; }
  [[nodiscard]] double time_s() const { return time_s_; }
  /// Rise over the air [K] of what is seen from one side, of one lane, or of
  /// all lanes together (lane -1); the grid of the board, x as seen from the top.
  void Rise(bool top, int lane, Image& rise_k) const;

  [[nodiscard]] const PlateSolver& solver() const { return solver_; }

 private:
  [[nodiscard]] double NextEdge(double after_s) const;

  BoardStack stack_;
  PlateSolver solver_;
  std::vector<HeatSource> sources_;
  Drive drive_;
  std::vector<double> edges_s_;  // Where some heat jumps, rising.
  std::vector<CellHeat> heat_;
  double time_s_ = 0;
};

}  // namespace ohmglow::simulate
