// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tiff_series.h"

#include <tiffio.h>

#include <string>
#include <vector>

#include "ohmglow/base/error.h"

namespace ohmglow::simulate {

void TiffSeries::Closer::operator()(tiff* handle) const { TIFFClose(handle); }

TiffSeries::TiffSeries(const std::filesystem::path& file)
    : file_(file), handle_(TIFFOpen(file.c_str(), "wl")) {
  if (!handle_) throw OutputError(file.string() + ": cannot be created; check --out");
}

void TiffSeries::Add(const cv::Mat_<std::uint16_t>& frame) {
  TIFF* tif = handle_.get();
  TIFFSetField(tif, TIFFTAG_IMAGEWIDTH, frame.cols);
  TIFFSetField(tif, TIFFTAG_IMAGELENGTH, frame.rows);
  TIFFSetField(tif, TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tif, TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tif, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tif, TIFFTAG_ROWSPERSTRIP, frame.rows);
  TIFFSetField(tif, TIFFTAG_COMPRESSION, COMPRESSION_ADOBE_DEFLATE);
  TIFFSetField(tif, TIFFTAG_ZIPQUALITY, 9);
  TIFFSetField(tif, TIFFTAG_PREDICTOR, PREDICTOR_HORIZONTAL);
  std::vector<std::uint16_t> row(static_cast<std::size_t>(frame.cols));
  bool good = true;
  for (int y = 0; y < frame.rows; ++y) {
    row.assign(frame[y], frame[y] + frame.cols);  // The predictor works in place.
    good = good && TIFFWriteScanline(tif, row.data(), static_cast<std::uint32_t>(y), 0) == 1;
  }
  if (!good || TIFFWriteDirectory(tif) != 1) {
    throw OutputError(file_.string() + ": page " + std::to_string(page_) +
                      " cannot be written; check the free space");
  }
  ++page_;
}

}  // namespace ohmglow::simulate
