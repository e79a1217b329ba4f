// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "board.h"
#include "ohmglow/base/image.h"
#include "sources.h"

namespace ohmglow::simulate {

constexpr double kFineMm = 0.25;    ///< Grid of everything the camera sees.
constexpr double kMarginMm = 25.0;  ///< Bench around the board.

/// Fine-grid coordinates of a board place: pixel (0, 0) of the grid is centred
/// half a cell inside the margin's corner.
[[nodiscard]] inline Point FineFromBoard(Point board_mm) {
  return {(board_mm.x + kMarginMm) / kFineMm - 0.5, (board_mm.y + kMarginMm) / kFineMm - 0.5};
}

/// How the side that faces the camera looks, on the fine grid (x as seen from
/// the top for both sides).
struct Surface {
  Image emissivity;
  Image reflectivity_texture;  ///< Multiplies a moving reflection; about 1.
  Image wire;                  ///< Share of a pixel that a lead covers, 0..1.
  Image warmth;                ///< Board above the air before all, of unit size; 0 on the bench.
  std::vector<std::vector<Point>> wire_paths_mm;
};

[[nodiscard]] Surface MakeSurface(const Board& board,
                                  const Scenario& scenario,
                                  const std::vector<HeatSource>& sources);

/// Smooth noise: a random field of about unit spread, `scale_px` wide.
[[nodiscard]] Image SmoothNoise(cv::Size size_px, double scale_px, class Random& random);

}  // namespace ohmglow::simulate
