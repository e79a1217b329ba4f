// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <opencv2/core.hpp>

struct tiff;

namespace ohmglow::simulate {

/// Writes a multi-page TIFF of 16-bit grey frames, Deflate with horizontal
/// differencing (TIFF 6.0 sect. 14).
class TiffSeries {
 public:
  /// @throws OutputError  if the file cannot be created.
  explicit TiffSeries(const std::filesystem::path& file);
  /// @throws OutputError  naming file and page.
  void Add(const cv::Mat_<std::uint16_t>& frame);

 private:
  struct Closer {
    void operator()(tiff* handle) const;
  };
  std::filesystem::path file_;
  std::unique_ptr<tiff, Closer> handle_;
  int page_ = 0;
};

}  // namespace ohmglow::simulate
