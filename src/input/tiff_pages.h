// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "count_pages.h"
#include "tiff_directories.h"
#include "tiff_handle.h"

namespace ohmglow {

/// The pages of a TIFF file, kept open; any page is reached directly. What
/// libtiff has to say goes into our messages, never to stderr.
class TiffPages final : public CountPages {
 public:
  /// @throws InputError
  explicit TiffPages(ByteSource file);

  [[nodiscard]] int count() const override { return static_cast<int>(directories_.size()); }
  [[nodiscard]] cv::Size size_px() const override { return directories_.front().size_px; }
  [[nodiscard]] int type() const override { return type_; }
  void Read(int page, cv::Mat& counts) override;

 private:
  void Select(int page);
  [[nodiscard]] int PageType(int page);
  void ReadStrips(int page, cv::Mat& counts);
  void ReadTiles(int page, cv::Mat& counts);
  [[noreturn]] void Fail(int page, const std::string& what) const;

  ByteSource file_;
  std::vector<TiffDirectory> directories_;
  TiffHandle handle_;
  int type_ = 0;
  std::vector<unsigned char> tile_;
};

}  // namespace ohmglow
