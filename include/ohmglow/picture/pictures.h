// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/result.h"

namespace ohmglow {

/// The candidates on the user's photo, or on the static frame picture where
/// `photo` is empty or cannot be mapped.
/// @param photo  8-bit BGR, may be empty.
/// @return       8-bit BGR.
[[nodiscard]] cv::Mat DrawOverlay(const LocateResult& result, const cv::Mat& photo);

/// The heat response in the frame's view, with scale bars in kelvin and
/// millimetres and the candidates marked.
/// @return  8-bit BGR.
[[nodiscard]] cv::Mat DrawMap(const LocateResult& result);

}  // namespace ohmglow
