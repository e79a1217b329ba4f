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
  double board_error_mm = 0;  ///< Standard error of a mapped place near the landmarks' middle.
  std::vector<std::string> remarks;  ///< For example a landmark that was left out.
};

/// Fits the maps to the landmarks: none with fewer than three, affine with
/// three, homography with four or more. With five or more, a landmark that
/// contradicts the others is left out and named (1-based row).
/// @throws DataError  where the landmarks lie on a line.
[[nodiscard]] BoardMaps FitBoardMaps(const std::vector<Landmark>& landmarks);

}  // namespace ohmglow
