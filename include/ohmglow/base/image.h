// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

namespace ohmglow {

/// One value per pixel. Inputs are never written: a function that takes an
/// image by const reference leaves its pixels alone although cv::Mat would let
/// it; a function that keeps one clones it.
using Image = cv::Mat_<float>;

/// 255 where a pixel may be used, 0 where it may not.
using Mask = cv::Mat_<unsigned char>;

}  // namespace ohmglow
