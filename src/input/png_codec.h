// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <string_view>

namespace ohmglow {

/// What the first chunk of a PNG says: PNG Specification 1.2, 4.1.1.
struct PngHeader {
  cv::Size size_px;
  int bits = 0;
  int colour_type = 0;  ///< 0: grey.
};

/// @param start  the file's first bytes, 29 or more.
/// @throws InputError  `name`: cut short, no PNG, a senseless size.
[[nodiscard]] PngHeader ReadPngHeader(std::string_view start, const std::string& name);

/// Decodes a PNG as stored: grey, BGR or BGRA of 8 or 16 bits; grey of less
/// than 8 bits and palettes become 8 bits. No gamma or colour profile is applied.
/// @throws InputError  `name`: damaged, cut short, larger than its bytes can hold.
[[nodiscard]] cv::Mat DecodePng(std::string_view bytes, const std::string& name);

/// @param image  CV_8UC1, CV_8UC3 (BGR), CV_8UC4 (BGRA) or CV_16UC1.
/// @param level  effort, 1 (fast) .. 9 (small).
/// @throws std::logic_error  another type or an empty image.
[[nodiscard]] std::string EncodePng(const cv::Mat& image, int level = 1);

}  // namespace ohmglow
