// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "count_pages.h"

namespace ohmglow {

/// A grey PNG of 8 or 16 bits as a series of one page.
class PngPage final : public CountPages {
 public:
  /// Reads the header only. @throws InputError
  explicit PngPage(ByteSource file);

  [[nodiscard]] int count() const override { return 1; }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] int type() const override { return type_; }
  void Read(int page, cv::Mat& counts) override;

 private:
  ByteSource file_;
  cv::Size size_px_;
  int type_ = 0;
};

}  // namespace ohmglow
