// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "ohmglow/base/geometry.h"

namespace ohmglow {

/// A rectangle, along the axes of what it is given in, whose emissivity is not
/// the case's: a metal can, a shiny connector, a strip of tape.
struct SurfaceRegion {
  std::string name;       ///< May be empty.
  bool on_board = false;  ///< In millimetres of the board, else in reference-frame pixels.
  Point center;           ///< Its middle.
  double width = 0;       ///< > 0.
  double height = 0;      ///< > 0.
  double emissivity = 1;  ///< In (0, 1].
};

}  // namespace ohmglow
