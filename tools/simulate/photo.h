// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "board.h"
#include "optics.h"

namespace ohmglow::simulate {

/// Where the photo camera stood: about 1000 x 800 pixels, slightly askew.
[[nodiscard]] View PhotoView(const Board& board, const Scenario& scenario);

/// Our own drawing of one side of the board, 8-bit BGR: mask, tracks, plain
/// bodies and their invented designators.
[[nodiscard]] cv::Mat DrawPhoto(const Board& board, const Scenario& scenario, const View& view);

/// Where a place of the board is in the photo, the lens included.
[[nodiscard]] Point PhotoPlace(const Scenario& scenario, const View& view, Point board_mm);

}  // namespace ohmglow::simulate
