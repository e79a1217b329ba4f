// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <deque>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "byte_source.h"

namespace ohmglow {

/// Where one page of a TIFF file is described.
struct TiffDirectory {
  std::uint64_t offset = 0;
  std::uint64_t stamp_offset = 0;  ///< Of the text of DateTime; 0 where there is none.
  std::int32_t page = 0;           ///< In the file, from 0.
  std::int16_t width_px = 0;       ///< Before any turn.
  std::int16_t height_px = 0;

  [[nodiscard]] cv::Size size_px() const { return {width_px, height_px}; }
};

struct TiffIndex {
  /// All of one size, at least one. No vector: while that grows it stands there twice.
  std::deque<TiffDirectory> pages;
  std::vector<std::string> notes;  ///< What was left out, in plain words.
  bool cut_off = false;            ///< The file ends before its last page.
};

/// Follows the chain of directories without touching any pixel, so that every
/// page can be reached at once and a thousand pages are counted in milliseconds.
/// Pages of another size than most (previews) are left out. Classic TIFF and
/// BigTIFF, either byte order.
/// @throws InputError  naming file and page: a chain that turns in a circle, no
///         page, cut short before the tenth page.
/// Source: TIFF 6.0 (1992), section 2; BigTIFF: 64-bit offsets, version 43.
[[nodiscard]] TiffIndex IndexTiff(const ByteSource& file);

}  // namespace ohmglow
