// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>

#include "count_pages.h"

namespace ohmglow {

/// A grey PNG of 8 or 16 bits as a series of one page.
class PngPage final : public CountPages {
 public:
  /// Reads the header only. @throws InputError
  explicit PngPage(std::filesystem::path file);

  [[nodiscard]] int count() const override { return 1; }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] int type() const override { return type_; }
  void Read(int page, cv::Mat& counts) override;

 private:
  std::filesystem::path file_;
  cv::Size size_px_;
  int type_ = 0;
};

/// Walks the chunks of a PNG up to its end mark, so that the decoder is never
/// given a file it would complain about on stderr.
/// @throws InputError  where the file is cut short.
void RequireWholePng(const std::filesystem::path& file);

}  // namespace ohmglow
