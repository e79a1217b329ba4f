// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string_view>

namespace ohmglow {

/// What the first bytes of a picture say.
struct PictureHeader {
  cv::Size size_px;
  bool colour = false;
};

/// PNG, JPEG, BMP and PNM by their headers; nothing for other bytes.
/// Sources: Portable Network Graphics (W3C 2003), 11.2.2; ITU-T T.81 (1992),
/// B.2.2; PNM and BMP: common practice, no source.
[[nodiscard]] std::optional<PictureHeader> ReadPictureHeader(std::string_view start);

/// Whether a PNG or JPEG begins so, whatever its header says.
[[nodiscard]] bool StartsAsPicture(std::string_view start);

}  // namespace ohmglow
