// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <string_view>

namespace ohmglow {

/// Decodes a JPEG as 8-bit grey or BGR, turned upright as its Exif orientation
/// says; landmarks are set in the upright picture, as every viewer shows it.
/// @throws InputError  `name`: damaged, cut short, four colours (CMYK).
[[nodiscard]] cv::Mat DecodeJpeg(std::string_view bytes, const std::string& name);

/// @param image  CV_8UC1 or CV_8UC3 (BGR), not empty.
/// @param quality  1 .. 100.
[[nodiscard]] std::string EncodeJpeg(const cv::Mat& image, int quality);

/// The Exif orientation of a picture, 1 .. 8; 1 (upright) where it has none.
/// @param block  the TIFF structure of the Exif block, from its byte order on.
/// Source: Exif 2.3 (CIPA DC-008), 4.6.4 A, tag 0x0112 of the first directory;
/// TIFF 6.0, Orientation.
[[nodiscard]] int ExifOrientation(std::string_view block);

/// Turns and mirrors a picture that was stored with `orientation`, 1 .. 8, so
/// that it stands upright. Source: TIFF 6.0, Orientation: where the first row
/// and the first column lie.
[[nodiscard]] cv::Mat Upright(const cv::Mat& stored, int orientation);

}  // namespace ohmglow
