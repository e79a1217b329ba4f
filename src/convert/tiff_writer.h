// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <opencv2/core.hpp>

struct tiff;

namespace ohmglow {

/// Writes 16-bit grey pages to one TIFF, one at a time; BigTIFF where the pages might
/// not fit into 4 GB. libtiff prints nothing.
class TiffWriter {
 public:
  /// @throws OutputError  if the file cannot be created.
  TiffWriter(const std::filesystem::path& file, int pages, cv::Size size_px);
  /// @throws OutputError  naming file and page.
  void Add(const cv::Mat_<std::uint16_t>& page);
  /// Writes what is left to write.
  /// @throws OutputError
  void Close();

 private:
  struct Closer {
    void operator()(tiff* handle) const;
  };
  [[noreturn]] void Fail() const;

  std::filesystem::path file_;
  std::unique_ptr<tiff, Closer> handle_;
  int page_ = 0;
  bool good_ = true;
};

}  // namespace ohmglow
