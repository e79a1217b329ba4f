// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "ohmglow/base/geometry.h"

namespace ohmglow {

/// The rectangle about all bodies [mm]; empty without any.
[[nodiscard]] cv::Rect2d RectangleAround(const std::vector<cv::Rect2d>& bodies_mm);

/// How far apart two maps put the bodies' middles, rms [mm].
/// @param picture_px  bodies that the first map puts outside do not count; unset: all do.
/// @return  0 where none counts.
[[nodiscard]] double ApartMm(const PlaneMap& picture_from_board,
                             const PlaneMap& other,
                             const std::vector<cv::Rect2d>& bodies_mm,
                             const std::optional<cv::Size>& picture_px = {});

}  // namespace ohmglow
