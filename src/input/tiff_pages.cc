// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tiff_pages.h"

#include <tiffio.h>

#include <algorithm>
#include <utility>

#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

std::uint16_t Tag(TIFF* handle, std::uint32_t tag, std::uint16_t fallback) {
  std::uint16_t value = fallback;
  return TIFFGetFieldDefaulted(handle, tag, &value) == 1 ? value : fallback;
}

}  // namespace

TiffPages::TiffPages(ByteSource file)
    : file_(std::move(file)), directories_(ListTiffDirectories(file_)), handle_(file_) {
  if (handle_.get() == nullptr) {
    Fail(0, "cannot be read; it is cut short or damaged, copy it again");
  }
  Select(0);
  type_ = PageType(0);
}

void TiffPages::Select(int page) {
  handle_.Forget();
  const auto& directory = directories_[static_cast<std::size_t>(page)];
  if (TIFFSetSubDirectory(handle_.get(), directory.offset) != 1)
    Fail(page, "cannot be read; it is cut short or damaged, copy it again");
}

int TiffPages::PageType(int page) {
  TIFF* const handle = handle_.get();
  const int samples = Tag(handle, TIFFTAG_SAMPLESPERPIXEL, 1);
  const int photometric = Tag(handle, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  if (samples != 1) {
    Fail(page,
         "has " + std::to_string(samples) +
             " samples per pixel (a colour picture?), "
             "a frame has one; save the measured values, not the picture");
  }
  if (photometric != PHOTOMETRIC_MINISBLACK && photometric != PHOTOMETRIC_MINISWHITE) {
    Fail(page,
         "is not a grey picture (photometric interpretation " + std::to_string(photometric) +
             "); save the measured values, not the picture");
  }
  const int bits = Tag(handle, TIFFTAG_BITSPERSAMPLE, 1);
  const int format = Tag(handle, TIFFTAG_SAMPLEFORMAT, SAMPLEFORMAT_UINT);
  const bool is_unsigned = format == SAMPLEFORMAT_UINT || format == SAMPLEFORMAT_VOID;
  if (bits == 8 && is_unsigned) return CV_8U;
  if (bits == 16 && is_unsigned) return CV_16U;
  if (bits == 16 && format == SAMPLEFORMAT_INT) return CV_16S;
  if (bits == 32 && format == SAMPLEFORMAT_IEEEFP) return CV_32F;
  Fail(page,
       "has " + std::to_string(bits) + "-bit samples of format " + std::to_string(format) +
           "; use 8- or 16-bit unsigned, 16-bit signed or 32-bit float");
}

void TiffPages::Read(int page, cv::Mat& counts) {
  Select(page);
  if (PageType(page) != type_) {
    Fail(page, "has another kind of samples than page 1; all frames must be alike");
  }
  const int compression = Tag(handle_.get(), TIFFTAG_COMPRESSION, COMPRESSION_NONE);
  if (TIFFIsCODECConfigured(static_cast<std::uint16_t>(compression)) != 1) {
    Fail(page,
         "compression " + std::to_string(compression) +
             " is not supported; use none, Deflate, LZW or PackBits");
  }
  counts.create(size_px(), type_);
  if (TIFFIsTiled(handle_.get()) != 0) {
    ReadTiles(page, counts);
  } else {
    ReadStrips(page, counts);
  }
  const bool inverted =
      Tag(handle_.get(), TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK) == PHOTOMETRIC_MINISWHITE;
  if (inverted && type_ != CV_32F) cv::bitwise_not(counts, counts);
}

void TiffPages::ReadStrips(int page, cv::Mat& counts) {
  const auto row_bytes = static_cast<tmsize_t>(counts.cols * counts.elemSize());
  std::uint32_t rows_per_strip = 0;
  TIFFGetFieldDefaulted(handle_.get(), TIFFTAG_ROWSPERSTRIP, &rows_per_strip);
  const int step = static_cast<int>(
      std::clamp<std::uint32_t>(rows_per_strip, 1, static_cast<std::uint32_t>(counts.rows)));
  std::uint32_t strip = 0;
  for (int y = 0; y < counts.rows; y += step, ++strip) {
    const tmsize_t wanted = std::min(step, counts.rows - y) * row_bytes;
    if (TIFFReadEncodedStrip(handle_.get(), strip, counts.ptr(y), wanted) != wanted) {
      Fail(page,
           "the pixels of row " + std::to_string(y + 1) +
               " on are damaged or cut short; copy it again");
    }
  }
}

void TiffPages::ReadTiles(int page, cv::Mat& counts) {
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  TIFFGetField(handle_.get(), TIFFTAG_TILEWIDTH, &width);
  TIFFGetField(handle_.get(), TIFFTAG_TILELENGTH, &height);
  CheckSize(PageName(file_.name(), page), width, height);
  const int step_x = static_cast<int>(width);
  const int step_y = static_cast<int>(height);
  const cv::Size tile_px(step_x, step_y);
  tile_.resize(static_cast<std::size_t>(tile_px.area()) * counts.elemSize());
  const auto size = static_cast<tmsize_t>(tile_.size());
  std::uint32_t index = 0;
  for (int y = 0; y < counts.rows; y += step_y) {
    for (int x = 0; x < counts.cols; x += step_x, ++index) {
      if (TIFFReadEncodedTile(handle_.get(), index, tile_.data(), size) != size) {
        Fail(page, "tile " + std::to_string(index + 1) + " is damaged or cut short; copy it again");
      }
      const cv::Rect inside = cv::Rect({x, y}, tile_px) & cv::Rect({0, 0}, counts.size());
      const cv::Mat tile(tile_px, type_, tile_.data());
      tile(cv::Rect({0, 0}, inside.size())).copyTo(counts(inside));
    }
  }
}

void TiffPages::Fail(int page, const std::string& what) const {
  const std::string detail =
      handle_.complaint().empty() ? "" : " (" + Quoted(handle_.complaint()) + ")";
  throw InputError(PageName(file_.name(), page) + ": " + what + detail);
}

}  // namespace ohmglow
