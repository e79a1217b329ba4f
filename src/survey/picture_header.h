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

/// Whether a film begins so: Matroska (RFC 8794), ISO base media (ISO/IEC
/// 14496-12), RIFF AVI (common practice, no source).
[[nodiscard]] bool IsFilm(std::string_view start);

}  // namespace ohmglow
