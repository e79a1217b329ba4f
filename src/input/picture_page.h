// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "byte_source.h"
#include "count_pages.h"

namespace ohmglow {

/// A picture in colours, or a JPEG, as a series of one page: CV_8UC3 (blue, green, red),
/// of a grey JPEG CV_8U.
class PicturePage final : public CountPages {
 public:
  /// Decodes once, to know size and kind. @throws InputError
  explicit PicturePage(ByteSource file);

  [[nodiscard]] int count() const override { return 1; }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] int type() const override { return type_; }
  void Read(int page, cv::Mat& counts) override;

 private:
  ByteSource file_;
  cv::Mat first_;  ///< Until it is read.
  cv::Size size_px_;
  int type_ = 0;
};

}  // namespace ohmglow
