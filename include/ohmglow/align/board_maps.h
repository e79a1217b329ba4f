// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// From the reference frame to the photo and to the board.
struct BoardMaps {
  std::optional<PlaneMap> photo_from_frame;
  std::optional<PlaneMap> board_from_frame;  ///< Millimetres.
  /// Standard error of a mapped place among the landmarks, from their scatter;
  /// where the fit is exact (3 or 4 rows), for landmarks good to 0.5 px.
  double board_error_mm = 0;
  std::vector<std::string> remarks;  ///< For example a landmark that was left out.
};

/// Fits the maps to the landmarks: none with fewer than three, affine with
/// three, homography with four or more. With five or more, a landmark that
/// contradicts the others is left out and named (1-based row); with just five
/// the one without which the view has the least perspective.
/// @throws DataError  where the landmarks lie on a line.
[[nodiscard]] BoardMaps FitBoardMaps(const std::vector<Landmark>& landmarks);

}  // namespace ohmglow
