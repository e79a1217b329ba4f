// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <vector>

#include "count_pages.h"

namespace ohmglow {

/// Pages that lie uncompressed in one file: NPY, PGM and raw data.
class FlatPages final : public CountPages {
 public:
  /// What the header of such a file says.
  struct Layout {
    cv::Size size_px;
    int type = 0;  ///< CV_8U, CV_16U, CV_16S or CV_32F.
    bool big_endian = false;
    std::vector<std::uint64_t> offsets;  ///< Where each page's pixels start.
  };

  /// @throws InputError  where a page lies beyond the end of the file.
  FlatPages(ByteSource file, Layout layout);

  [[nodiscard]] int count() const override { return static_cast<int>(layout_.offsets.size()); }
  [[nodiscard]] cv::Size size_px() const override { return layout_.size_px; }
  [[nodiscard]] int type() const override { return layout_.type; }
  void Read(int page, cv::Mat& counts) override;

 private:
  ByteSource file_;
  Layout layout_;
};

/// NPY: little-endian uint8, uint16, int16 or float32, C order, of shape
/// (height, width) or (frames, height, width). NumPy format description (NEP 1).
/// @throws InputError
[[nodiscard]] FlatPages::Layout ReadNpyLayout(const ByteSource& file);

/// Binary grey PGM ("P5"), one image or several; samples above 255 have two
/// bytes, the most significant first. Netpbm, pgm(5).
/// @throws InputError
[[nodiscard]] FlatPages::Layout ReadPgmLayout(const ByteSource& file);

/// 16-bit unsigned samples, the least significant byte first, no header, one
/// frame after the other (the layout of V4L2_PIX_FMT_Y16).
/// @throws InputError  where the file is no whole number of frames.
[[nodiscard]] FlatPages::Layout ReadRawLayout(const ByteSource& file, RawSize size);

}  // namespace ohmglow
