// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "count_pages.h"
#include "frame_files.h"

namespace ohmglow {

/// Many files of one frame each.
class SeriesPages final : public CountPages {
 public:
  /// Opens every file once to compare sizes and kinds; decodes none. A file that
  /// cannot be opened or is unlike the others keeps its place: reading it fails.
  /// @param files  at least one.
  /// @throws InputError  where more than a tenth are so, naming the first.
  SeriesPages(std::unique_ptr<FrameFiles> files, FrameFormat format);

  [[nodiscard]] int count() const override { return files_->count(); }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] int type() const override { return type_; }
  void Read(int page, cv::Mat& counts) override;
  [[nodiscard]] std::vector<std::string> Notes() const override { return files_->Notes(); }
  [[nodiscard]] bool cut_off() const override { return files_->cut_off(); }
  [[nodiscard]] std::vector<double> WallTimes() const override;
  [[nodiscard]] const HeadingRows* Headings() const override { return &headings_; }
  [[nodiscard]] std::vector<std::string> PageNames() const override;
  [[nodiscard]] std::vector<double> FileDates() const override;

 private:
  [[nodiscard]] std::unique_ptr<CountPages> Open(int page) const;

  std::unique_ptr<FrameFiles> files_;
  FrameFormat format_;
  cv::Size size_px_;
  int type_ = 0;
  HeadingRows headings_;
};

}  // namespace ohmglow
