// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>

namespace ohmglow {

/// The board's photo as 8-bit BGR (PNG, JPEG, TIFF, ...).
/// @throws InputError  naming the file.
[[nodiscard]] cv::Mat ReadPhoto(const std::filesystem::path& file);

}  // namespace ohmglow
