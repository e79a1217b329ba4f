// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string_view>
#include <vector>

#include "count_pages.h"

namespace ohmglow {

/// Many files of one frame each.
class SeriesPages final : public CountPages {
 public:
  /// Opens every file once to compare sizes and kinds; decodes none.
  /// @param files  at least one, in the order of the frames.
  /// @throws InputError  naming the file that differs or holds several pages.
  SeriesPages(std::vector<std::filesystem::path> files, RawSize raw);

  [[nodiscard]] int count() const override { return static_cast<int>(files_.size()); }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] int type() const override { return type_; }
  void Read(int page, cv::Mat& counts) override;

 private:
  std::vector<std::filesystem::path> files_;
  RawSize raw_;
  cv::Size size_px_;
  int type_ = 0;
};

/// Natural order: runs of digits compare as numbers, so f2 comes before f10;
/// letters compare without case, equal names by their bytes.
[[nodiscard]] bool NaturalLess(std::string_view a, std::string_view b);

/// Whether `name` fits a pattern of * (any text) and ? (one byte).
[[nodiscard]] bool MatchesPattern(std::string_view name, std::string_view pattern);

/// Whether a source is a folder or a pattern, not one file.
[[nodiscard]] bool IsSeries(const std::filesystem::path& source);

/// The frame files of a folder, or those that fit a pattern such as
/// raw/*.tiff, in natural order. Hidden files are left out.
/// @throws InputError  none found, several kinds in one folder, * or ? in a folder's name.
[[nodiscard]] std::vector<std::filesystem::path> ListFrameFiles(
    const std::filesystem::path& source);

}  // namespace ohmglow
