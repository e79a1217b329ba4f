// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <vector>

#include "count_pages.h"

namespace ohmglow {

/// Pages that lie uncompressed in one file: NPY, PGM, PFM and raw data.
class FlatPages final : public CountPages {
 public:
  /// What the header of such a file says.
  struct Layout {
    cv::Size size_px;
    SampleFormat sample;
    bool columns = false;    ///< Stored column after column.
    bool bottom_up = false;  ///< The lowest row first.
    int count = 0;
    std::uint64_t first_offset = 0;      ///< Where the first page's pixels start,
    std::uint64_t stride_bytes = 0;      ///< and those of the next after it;
    std::vector<std::uint64_t> offsets;  ///< or, where not empty, those of each page.
  };

  /// @throws InputError  where more than a tenth of the pages lie beyond the end.
  FlatPages(ByteSource file, Layout layout);

  [[nodiscard]] int count() const override { return layout_.count; }
  [[nodiscard]] cv::Size size_px() const override { return layout_.size_px; }
  [[nodiscard]] int type() const override { return CountType(layout_.sample.type); }
  void Read(int page, cv::Mat& counts) override;
  [[nodiscard]] std::vector<std::string> Notes() const override;
  [[nodiscard]] bool cut_off() const override { return lost_ > 0; }

 private:
  [[nodiscard]] std::uint64_t Offset(int page) const;
  [[nodiscard]] std::uint64_t PageBytes() const;

  ByteSource file_;
  Layout layout_;
  int lost_ = 0;  // At the end.
  std::vector<unsigned char> samples_;
};

/// NPY of any number type and byte order, C or Fortran order, of shape (height,
/// width) or (frames, height, width). NumPy format description (NEP 1).
/// @throws InputError
[[nodiscard]] std::unique_ptr<CountPages> OpenNpy(const ByteSource& file);

/// Binary grey PGM ("P5"), one image or several; samples above 255 have two
/// bytes, the most significant first. Netpbm, pgm(5).
/// @throws InputError
[[nodiscard]] FlatPages::Layout ReadPgmLayout(const ByteSource& file);

/// Grey PFM ("Pf"), the lowest row first, byte order by the sign of its third
/// number; its size is not applied. Netpbm, pfm(5).
/// @throws InputError
[[nodiscard]] FlatPages::Layout ReadPfmLayout(const ByteSource& file);

/// Frames one after the other as `format` says; 16-bit unsigned, the least
/// significant byte first, where it says nothing (V4L2_PIX_FMT_Y16). Bytes left
/// over at the end are a frame cut short where neighbouring rows are alike, so
/// that the width is right; else the size is wrong.
/// @throws InputError
[[nodiscard]] FlatPages::Layout ReadRawLayout(const ByteSource& file, const FrameFormat& format);

/// Plain grey PGM ("P2"), one image of numbers as text. Netpbm, pgm(5).
/// @throws InputError
[[nodiscard]] std::unique_ptr<CountPages> OpenPlainPgm(const ByteSource& file);

}  // namespace ohmglow
