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

  [[nodiscard]] int count() const override { return static_cast<int>(index_.pages.size()); }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] int type() const override { return CountType(sample_type_); }
  void Read(int page, cv::Mat& counts) override;
  [[nodiscard]] std::vector<std::string> Notes() const override { return index_.notes; }
  [[nodiscard]] bool cut_off() const override { return index_.cut_off; }
  /// DateTime of each page: TIFF 6.0, section 8. Empty where one has none.
  [[nodiscard]] std::vector<double> WallTimes() const override;

 private:
  void Select(int page);
  [[nodiscard]] SampleType PageType(int page);
  void ReadStrips(int page, std::size_t sample_bytes, unsigned char* samples);
  void ReadTiles(int page, std::size_t sample_bytes, unsigned char* samples);
  [[noreturn]] void Fail(int page, const std::string& what) const;

  ByteSource file_;
  TiffIndex index_;
  TiffHandle handle_;
  SampleType sample_type_ = SampleType::kU16;
  cv::Size size_px_;
  std::vector<unsigned char> samples_;
  std::vector<unsigned char> tile_;
};

}  // namespace ohmglow
