// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "board.h"
#include "plate.h"

namespace ohmglow::simulate {

/// Layers of a board's network from the top: mould or lid, body, the laminate's
/// layers, body, mould or lid.
struct BoardStack {
  Plate plate;
  int top_mould = 0;
  int top_body = 1;
  int top_face = 2;
  int bottom_face = 3;
  int bottom_body = 4;
  int bottom_mould = 5;
  cv::Mat_<float> sheet_w_k;  ///< In-plane conductivity x thickness, all layers of the board.
  double capacity_j_m2k = 0;  ///< Mean of the bare board.

  /// The cell that a camera on the given side sees at grid place (x, y).
  [[nodiscard]] std::size_t Visible(int x, int y, bool top) const;
  /// The cell where a part's heat is made (its body, or the face where it has none).
  [[nodiscard]] std::size_t Body(int x, int y, bool top) const;
};

/// Material values: FR-4 1.059 / 0.343 W/(m K) in and through the plane
/// (Sarvar et al., J. Electron. Mater. 19 (1990) 1345), 1850 kg/m3 x 1100
/// J/(kg K); copper 401 W/(m K), 3.44e6 J/(m3 K) (Incropera et al., Table A.1).
/// Bodies: common practice, no source (see the table in stack.cc).
[[nodiscard]] BoardStack MakeStack(const Board& board, const Scenario& scenario);

}  // namespace ohmglow::simulate
