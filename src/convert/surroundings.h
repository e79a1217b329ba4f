// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/input/case.h"

namespace ohmglow {

/// Around the outermost parts and landmarks, what is taken as board [mm].
inline constexpr double kBoardMarginMm = 5;

/// The case's photo, black outside the convex hull of all parts and board landmarks and
/// kBoardMarginMm around it.
/// @throws DataError  where landmarks do not tell where the board lies in the photo.
[[nodiscard]] cv::Mat WithoutSurroundings(const Case& job);

}  // namespace ohmglow
