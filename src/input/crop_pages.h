// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <utility>

#include "count_pages.h"

namespace ohmglow {

/// A part of each page: some cameras put values and picture side by side.
class CropPages final : public CountPages {
 public:
  /// @param part_px  inside the pages.
  CropPages(std::unique_ptr<CountPages> pages, cv::Rect part_px)
      : pages_(std::move(pages)), part_px_(part_px) {}

  [[nodiscard]] int count() const override { return pages_->count(); }
  [[nodiscard]] cv::Size size_px() const override { return part_px_.size(); }
  [[nodiscard]] int type() const override { return pages_->type(); }
  void Read(int page, cv::Mat& counts) override {
    pages_->Read(page, whole_);
    whole_(part_px_).copyTo(counts);
  }
  [[nodiscard]] std::vector<double> times_s() const override { return pages_->times_s(); }
  [[nodiscard]] std::vector<std::string> Notes() const override { return pages_->Notes(); }
  [[nodiscard]] bool cut_off() const override { return pages_->cut_off(); }
  [[nodiscard]] std::vector<double> WallTimes() const override { return pages_->WallTimes(); }
  [[nodiscard]] const HeadingRows* Headings() const override { return pages_->Headings(); }
  [[nodiscard]] std::vector<std::string> PageNames() const override { return pages_->PageNames(); }
  [[nodiscard]] std::vector<double> FileDates() const override { return pages_->FileDates(); }

 private:
  std::unique_ptr<CountPages> pages_;
  cv::Rect part_px_;
  cv::Mat whole_;
};

}  // namespace ohmglow
