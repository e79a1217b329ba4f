// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <opencv2/core.hpp>
#include <string>

#include "byte_source.h"

namespace ohmglow {

/// Larger pictures are refused: no thermal camera makes them, a damaged header may.
constexpr int kLargestSidePx = 16384;

/// The pages of one capture as stored: counts, not yet kelvin. Reading holds
/// one page in memory; opening reads headers only.
class CountPages {
 public:
  virtual ~CountPages() = default;

  [[nodiscard]] virtual int count() const = 0;         ///< >= 1.
  [[nodiscard]] virtual cv::Size size_px() const = 0;  ///< Of every page.
  [[nodiscard]] virtual int type() const = 0;  ///< CV_8U, CV_16U, CV_16S or CV_32F, one channel.
  /// Reads page `page` (from 0) as a continuous matrix of `type()`.
  /// @throws InputError  naming file and page (from 1).
  virtual void Read(int page, cv::Mat& counts) = 0;
};

/// What a raw file lacks: the size of its frames; 0 where it is not given.
struct RawSize {
  int width_px = 0;
  int height_px = 0;
};

/// One file of any supported kind, told by its first bytes: TIFF, PNG, PGM,
/// NPY; anything else is raw 16-bit data where `raw` gives a size.
/// @throws InputError
[[nodiscard]] std::unique_ptr<CountPages> OpenCountFile(const ByteSource& file, RawSize raw);

/// What `frames.source` names: a file, a folder or a pattern.
/// @throws InputError
[[nodiscard]] std::unique_ptr<CountPages> OpenCounts(const std::filesystem::path& source,
                                                     RawSize raw);

/// "file, page 3", for messages; pages count from 1.
[[nodiscard]] std::string PageName(const std::string& file, int page);

/// @throws InputError  where a side is < 1 or above the largest.
void CheckSize(const std::string& where, long long width_px, long long height_px);

/// Before memory is taken for a page: whether so many bytes can come out of a
/// file of `file_bytes`, however well it is packed. Small pages always can.
/// @throws InputError
void CheckPageBytes(const std::string& where, std::uint64_t page_bytes, std::uint64_t file_bytes);

}  // namespace ohmglow
