// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tiff_pages.h"

#include <tiffio.h>

#include <algorithm>
#include <bit>
#include <cstring>
#include <utility>

#include "jpeg_codec.h"
#include "name_times.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

bool IsFloat(SampleType type) {
  return type == SampleType::kF16 || type == SampleType::kF32 || type == SampleType::kF64;
}

std::uint16_t Tag(TIFF* handle, std::uint32_t tag, std::uint16_t fallback) {
  std::uint16_t value = fallback;
  return TIFFGetFieldDefaulted(handle, tag, &value) == 1 ? value : fallback;
}

}  // namespace

TiffPages::TiffPages(ByteSource file)
    : file_(std::move(file)), index_(IndexTiff(file_)), handle_(file_, TiffChain::kHidden) {
  if (handle_.get() == nullptr) {
    Fail(0, "cannot be read; it is cut short or damaged, copy it again");
  }
  Select(0);
  sample_type_ = PageType(0);
  size_px_ = index_.pages.front().size_px();
  if (Tag(handle_.get(), TIFFTAG_ORIENTATION, ORIENTATION_TOPLEFT) >= ORIENTATION_LEFTTOP) {
    std::swap(size_px_.width, size_px_.height);
  }
}

void TiffPages::Select(int page) {
  handle_.Forget();
  const auto& directory = index_.pages[static_cast<std::size_t>(page)];
  if (TIFFSetSubDirectory(handle_.get(), directory.offset) != 1)
    Fail(page, "cannot be read; it is cut short or damaged, copy it again");
}

SampleType TiffPages::PageType(int page) {
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
  const char kind = format == SAMPLEFORMAT_IEEEFP                                ? 'f'
                    : format == SAMPLEFORMAT_INT                                 ? 'i'
                    : format == SAMPLEFORMAT_UINT || format == SAMPLEFORMAT_VOID ? 'u'
                                                                                 : '?';
  if (bits % 8 == 0) {
    if (const auto type = FindSampleType(kind, static_cast<std::size_t>(bits / 8))) return *type;
  }
  Fail(page,
       "has " + std::to_string(bits) + "-bit samples of format " + std::to_string(format) +
           "; use whole numbers of 8 to 64 bits or floats of 16 to 64");
}

void TiffPages::Read(int page, cv::Mat& counts) {
  Select(page);
  if (PageType(page) != sample_type_) {
    Fail(page, "has another kind of samples than page 1; all frames must be alike");
  }
  const int compression = Tag(handle_.get(), TIFFTAG_COMPRESSION, COMPRESSION_NONE);
  if (TIFFIsCODECConfigured(static_cast<std::uint16_t>(compression)) != 1) {
    Fail(page,
         "compression " + std::to_string(compression) +
             " is not supported; use none, Deflate, LZW or PackBits");
  }
  const cv::Size stored = index_.pages[static_cast<std::size_t>(page)].size_px();
  const std::size_t sample_bytes = SampleBytes(sample_type_);
  const std::size_t page_bytes = static_cast<std::size_t>(stored.area()) * sample_bytes;
  CheckPageBytes(PageName(file_.name(), page), page_bytes, file_.size());
  samples_.resize(page_bytes);
  if (TIFFIsTiled(handle_.get()) != 0) {
    ReadTiles(page, sample_bytes, samples_.data());
  } else {
    ReadStrips(page, sample_bytes, samples_.data());
  }
  const bool inverted =
      Tag(handle_.get(), TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK) == PHOTOMETRIC_MINISWHITE;
  if (inverted && !IsFloat(sample_type_)) {
    for (unsigned char& byte : samples_) byte = static_cast<unsigned char>(~byte);
  }
  const int orientation = Tag(handle_.get(), TIFFTAG_ORIENTATION, ORIENTATION_TOPLEFT);
  // libtiff has put the bytes into this machine's order.
  const SampleFormat format{sample_type_, std::endian::native == std::endian::big};
  counts.create(stored, type());
  ToCounts(samples_.data(), format, counts);
  if (orientation > ORIENTATION_TOPLEFT && orientation <= ORIENTATION_LEFTBOT) {
    counts = Upright(counts, orientation);
  }
  if (counts.size() != size_px_) Fail(page, "is turned otherwise than page 1");
}

void TiffPages::ReadStrips(int page, std::size_t sample_bytes, unsigned char* samples) {
  const cv::Size size = index_.pages[static_cast<std::size_t>(page)].size_px();
  const auto row_bytes = static_cast<tmsize_t>(static_cast<std::size_t>(size.width) * sample_bytes);
  std::uint32_t rows_per_strip = 0;
  TIFFGetFieldDefaulted(handle_.get(), TIFFTAG_ROWSPERSTRIP, &rows_per_strip);
  const int step = static_cast<int>(
      std::clamp<std::uint32_t>(rows_per_strip, 1, static_cast<std::uint32_t>(size.height)));
  std::uint32_t strip = 0;
  for (int y = 0; y < size.height; y += step, ++strip) {
    const tmsize_t wanted = std::min(step, size.height - y) * row_bytes;
    if (TIFFReadEncodedStrip(handle_.get(), strip, samples + y * row_bytes, wanted) != wanted) {
      Fail(page,
           "the pixels of row " + std::to_string(y + 1) +
               " on are damaged or cut short; copy it again");
    }
  }
}

void TiffPages::ReadTiles(int page, std::size_t sample_bytes, unsigned char* samples) {
  const cv::Size size = index_.pages[static_cast<std::size_t>(page)].size_px();
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  TIFFGetField(handle_.get(), TIFFTAG_TILEWIDTH, &width);
  TIFFGetField(handle_.get(), TIFFTAG_TILELENGTH, &height);
  CheckSize(PageName(file_.name(), page), width, height);
  const std::size_t tile_bytes = std::size_t{width} * height * sample_bytes;
  CheckPageBytes(PageName(file_.name(), page), tile_bytes, file_.size());
  tile_.resize(tile_bytes);
  const int step_x = static_cast<int>(width);
  const int step_y = static_cast<int>(height);
  const std::size_t row_bytes = static_cast<std::size_t>(size.width) * sample_bytes;
  std::uint32_t index = 0;
  for (int y = 0; y < size.height; y += step_y) {
    for (int x = 0; x < size.width; x += step_x, ++index) {
      if (TIFFReadEncodedTile(
              handle_.get(), index, tile_.data(), static_cast<tmsize_t>(tile_bytes)) !=
          static_cast<tmsize_t>(tile_bytes)) {
        Fail(page, "tile " + std::to_string(index + 1) + " is damaged or cut short; copy it again");
      }
      const int rows = std::min(step_y, size.height - y);
      const std::size_t inside =
          static_cast<std::size_t>(std::min(step_x, size.width - x)) * sample_bytes;
      for (int row = 0; row < rows; ++row) {
        std::memcpy(samples + static_cast<std::size_t>(y + row) * row_bytes +
                        static_cast<std::size_t>(x) * sample_bytes,
                    tile_.data() + static_cast<std::size_t>(row) * width * sample_bytes,
                    inside);
      }
    }
  }
}

std::vector<double> TiffPages::WallTimes() const {
  std::vector<double> times_s;
  for (const TiffDirectory& page : index_.pages) {
    if (page.stamp_offset == 0) return {};
    const auto time_s = ParseStamp(file_.Peek(page.stamp_offset, 19), "%Y:%m:%d %H:%M:%S");
    if (!time_s) return {};
    times_s.push_back(*time_s);
  }
  return times_s;
}

void TiffPages::Fail(int page, const std::string& what) const {
  const std::string detail =
      handle_.complaint().empty() ? "" : " (" + Quoted(handle_.complaint()) + ")";
  throw InputError(PageName(file_.name(), index_.pages[static_cast<std::size_t>(page)].page) +
                   ": " + what + detail);
}

}  // namespace ohmglow
