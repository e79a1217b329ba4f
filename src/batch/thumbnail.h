// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/result.h"

namespace ohmglow::batch {

/// A small picture for the contact sheet: the photo (or the static frame
/// picture) with the places ringed and numbered, marks larger than in the full
/// picture, without any text.
/// @param photo  8-bit BGR, may be empty.
/// @return       8-bit BGR, 640 pixels along its longer side.
[[nodiscard]] cv::Mat DrawThumbnail(const LocateResult& result, const cv::Mat& photo);

}  // namespace ohmglow::batch
