// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string_view>

#include "byte_source.h"

namespace ohmglow {

/// A picture for the eye (photo, logo), whatever of PNG, JPEG and TIFF it is,
/// told by its first bytes: grey, BGR or BGRA of 8 or 16 bits, upright.
/// @param named_by  the setting that named it, for the message.
/// @throws InputError  naming the file; also where it is no picture of these.
[[nodiscard]] cv::Mat ReadPicture(const ByteSource& file, std::string_view named_by);

}  // namespace ohmglow
