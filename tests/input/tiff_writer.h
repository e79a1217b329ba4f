// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <tiffio.h>

#include <algorithm>
#include <filesystem>
#include <opencv2/core.hpp>
#include <stdexcept>
#include <vector>

namespace ohmglow::testing {

struct TiffStyle {
  const char* mode = "w";  ///< "wl", "wb": byte order; "w8": BigTIFF.
  int compression = COMPRESSION_NONE;
  int predictor = PREDICTOR_NONE;
  int photometric = PHOTOMETRIC_MINISBLACK;
  int rows_per_strip = 5;
  int tile_px = 0;  ///< Tiles of this side instead of strips.
};

inline void SetTags(TIFF* tiff, const cv::Mat& page, const TiffStyle& style) {
  const int depth = page.depth();
  const int bits = static_cast<int>(page.elemSize1()) * 8;
  const int format = depth == CV_32F || depth == CV_64F ? SAMPLEFORMAT_IEEEFP
                     : depth == CV_16S                  ? SAMPLEFORMAT_INT
                                                        : SAMPLEFORMAT_UINT;
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, page.cols);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, page.rows);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, bits);
  TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, format);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, page.channels());
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, style.photometric);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, style.compression);
  if (style.predictor != PREDICTOR_NONE) TIFFSetField(tiff, TIFFTAG_PREDICTOR, style.predictor);
  if (style.tile_px > 0) {
    TIFFSetField(tiff, TIFFTAG_TILEWIDTH, style.tile_px);
    TIFFSetField(tiff, TIFFTAG_TILELENGTH, style.tile_px);
  } else {
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, style.rows_per_strip);
  }
}

inline void WriteTiles(TIFF* tiff, const cv::Mat& page, int side) {
  std::uint32_t index = 0;
  for (int y = 0; y < page.rows; y += side) {
    for (int x = 0; x < page.cols; x += side) {
      cv::Mat tile = cv::Mat::zeros(side, side, page.type());
      const cv::Rect inside = cv::Rect(x, y, side, side) & cv::Rect({0, 0}, page.size());
      page(inside).copyTo(tile(cv::Rect({0, 0}, inside.size())));
      TIFFWriteEncodedTile(
          tiff, index++, tile.data, static_cast<tmsize_t>(tile.total() * tile.elemSize()));
    }
  }
}

/// Writes the pages by libtiff.
inline void WriteTiff(const std::filesystem::path& file,
                      const std::vector<cv::Mat>& pages,
                      const TiffStyle& style = {}) {
  TIFF* const tiff = TIFFOpen(file.c_str(), style.mode);
  if (tiff == nullptr) throw std::runtime_error("cannot write " + file.string());
  for (const cv::Mat& page : pages) {
    SetTags(tiff, page, style);
    if (style.tile_px > 0) {
      WriteTiles(tiff, page, style.tile_px);
    } else {
      for (int y = 0; y < page.rows; ++y) {
        cv::Mat row = page.row(y).clone();
        TIFFWriteScanline(tiff, row.data, static_cast<std::uint32_t>(y), 0);
      }
    }
    TIFFWriteDirectory(tiff);
  }
  TIFFClose(tiff);
}

/// A page no two of whose pixels are alike, also between pages.
inline cv::Mat RampPage(int page, cv::Size size, int type) {
  cv::Mat_<float> values(size);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      values(y, x) = static_cast<float>(page * 31 + y * size.width + x + 1);
    }
  }
  if (CV_MAT_DEPTH(type) == CV_16U || CV_MAT_DEPTH(type) == CV_16S) values += 29000;
  if (CV_MAT_DEPTH(type) == CV_32F) values += 295.25F;
  cv::Mat counts;
  values.convertTo(counts, type);
  return counts;
}

/// The largest difference of two pictures of one size and type.
inline double LargestDifference(const cv::Mat& a, const cv::Mat& b) {
  if (a.size() != b.size() || a.type() != b.type()) return 1e300;
  return cv::norm(a, b, cv::NORM_INF);
}

}  // namespace ohmglow::testing
