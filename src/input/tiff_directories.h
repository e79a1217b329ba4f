// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

#include "byte_source.h"

namespace ohmglow {

/// Where one page of a TIFF file is described.
struct TiffDirectory {
  std::uint64_t offset = 0;
  cv::Size size_px;
};

/// Follows the chain of directories without touching any pixel, so that every
/// page can be reached at once and a thousand pages are counted in milliseconds.
/// Classic TIFF and BigTIFF, either byte order.
/// @throws InputError  naming file and page: cut short, a chain that turns in a
///         circle, no page, a page whose size differs from the first.
/// Source: TIFF 6.0 (1992), section 2; BigTIFF: 64-bit offsets, version 43.
[[nodiscard]] std::vector<TiffDirectory> ListTiffDirectories(const ByteSource& file);

}  // namespace ohmglow
