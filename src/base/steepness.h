// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/base/image.h"

namespace ohmglow {

/// How steep a picture is at each pixel, per pixel, of whatever unit it has (Sobel's 3 x 3
/// slopes). A picture with much noise is smoothed first.
[[nodiscard]] Image SteepnessOf(const cv::Mat& picture);

}  // namespace ohmglow
