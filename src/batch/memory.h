// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <optional>

namespace ohmglow::batch {

/// Memory that a job takes at its peak, an upper estimate from measurements:
/// what the program itself takes, the time bins and fits of every frame pixel,
/// and the photo with its overlay.
inline constexpr double kJobBaseBytes = 80e6;
inline constexpr double kJobBytesPerFramePixel = 2600;
inline constexpr double kJobBytesPerPhotoPixel = 8;

/// @param photo_px  0 x 0 where there is none.
[[nodiscard]] double JobMemoryBytes(cv::Size frame_px, cv::Size photo_px);

/// What the jobs may take together now: the kernel's MemAvailable, or what is
/// left of a smaller limit of the control group; nothing where neither is known.
/// @param root  of the files asked; "/" but in tests.
[[nodiscard]] std::optional<double> FreeMemoryBytes(const std::filesystem::path& root = "/");

}  // namespace ohmglow::batch
