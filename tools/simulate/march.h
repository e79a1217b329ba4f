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
