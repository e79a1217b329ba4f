// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "board.h"
#include "random.h"

namespace ohmglow::simulate {

/// The piece of a body [mm] that a short heats where it does not heat the
/// middle, by kind (common practice, no source). A chip capacitor cracks at an
/// end where the board bent it: a third of its length, at least a cell, its
/// whole width. A die, 0.3 to 0.7 as wide as its package and in the middle of
/// it, shorts in one place, 1 mm wide, likeliest an output stage at its rim.
/// One short of a circuit in four is a bridge of two pins: the package's rim.
/// (A leaky tantalum or electrolytic capacitor warms as a whole: share 0.)
/// @param share  0 to 1: how far off the middle, of as far as it can be.
[[nodiscard]] cv::Rect2d HotPiece(const BoardPart& part, double share, Random& random);

}  // namespace ohmglow::simulate
