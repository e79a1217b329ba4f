// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "convert/tiff_writer.h"

#include <tiffio.h>

#include <cerrno>
#include <cstring>
#include <string>
#include <vector>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Deflate makes noise a little larger at worst.
constexpr double kMostClassicBytes = 3.9e9;
constexpr int kEffort = 6;

const char* ModeFor(int pages, cv::Size size_px) {
  const double bytes = 2.1 * pages * static_cast<double>(size_px.area()) + 300.0 * pages;
  return bytes > kMostClassicBytes ? "w8" : "w";
}

// A buffered write may fail late, and libtiff tells it by its handler alone.
int Note(TIFF* /*handle*/, void* good, const char*, const char*, va_list) {
  *static_cast<bool*>(good) = false;
  return 1;
}

}  // namespace

void TiffWriter::Closer::operator()(tiff* handle) const { TIFFClose(handle); }

TiffWriter::TiffWriter(const std::filesystem::path& file, int pages, cv::Size size_px)
    : file_(file) {
  TIFFOpenOptions* const options = TIFFOpenOptionsAlloc();
  TIFFOpenOptionsSetErrorHandlerExtR(options, Note, &good_);
  TIFFOpenOptionsSetWarningHandlerExtR(
      options, [](TIFF*, void*, const char*, const char*, va_list) { return 1; }, nullptr);
  handle_.reset(TIFFOpenExt(file.c_str(), ModeFor(pages, size_px), options));
  TIFFOpenOptionsFree(options);
  if (!handle_) Fail();
}

void TiffWriter::Fail() const {
  throw OutputError(file_.string() + ": page " + std::to_string(page_ + 1) +
                    " cannot be written (" + std::strerror(errno) +
                    "); check free space and rights");
}

void TiffWriter::Add(const cv::Mat_<std::uint16_t>& page) {
  TIFF* const tif = handle_.get();
  TIFFSetField(tif, TIFFTAG_IMAGEWIDTH, page.cols);
  TIFFSetField(tif, TIFFTAG_IMAGELENGTH, page.rows);
  TIFFSetField(tif, TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tif, TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tif, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tif, TIFFTAG_ROWSPERSTRIP, page.rows);
  TIFFSetField(tif, TIFFTAG_COMPRESSION, COMPRESSION_ADOBE_DEFLATE);
  TIFFSetField(tif, TIFFTAG_ZIPQUALITY, kEffort);
  TIFFSetField(tif, TIFFTAG_PREDICTOR, PREDICTOR_HORIZONTAL);
  std::vector<std::uint16_t> row;
  for (int y = 0; y < page.rows && good_; ++y) {
    row.assign(page[y], page[y] + page.cols);  // The predictor works in place.
    good_ = TIFFWriteScanline(tif, row.data(), static_cast<std::uint32_t>(y), 0) == 1 && good_;
  }
  if (!good_ || TIFFWriteDirectory(tif) != 1 || !good_) Fail();
  ++page_;
}

void TiffWriter::Close() {
  handle_.reset();
  if (!good_) Fail();
}

}  // namespace ohmglow
