// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "count_pages.h"

namespace ohmglow {

/// Images and cubes (frames along the third axis) of a FITS file, in the order of
/// its header units, read by CFITSIO: BSCALE and BZERO applied, BLANK as NaN. The
/// first row stored is the top one unless ROWORDER says BOTTOM-UP.
/// Source: FITS Standard 4.0 (2016), 4.4; ROWORDER: common practice, no standard.
class FitsPages final : public CountPages {
 public:
  /// @throws InputError
  explicit FitsPages(const ByteSource& file);
  ~FitsPages() override;
  FitsPages(const FitsPages&) = delete;
  FitsPages& operator=(const FitsPages&) = delete;

  [[nodiscard]] int count() const override { return count_; }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] int type() const override { return type_; }
  void Read(int page, cv::Mat& counts) override;
  [[nodiscard]] std::vector<std::string> Notes() const override;
  [[nodiscard]] bool cut_off() const override { return lost_ > 0; }

 private:
  struct Unit {
    int number = 0;  // Of the header unit, from 1.
    int first_page = 0;
    int planes = 0;
    int type = 0;
    cv::Size size_px;
    bool bottom_up = false;
  };
  class Handle;
  void AddUnit(int number);
  [[noreturn]] void Fail(int page, const std::string& what) const;

  std::unique_ptr<Handle> handle_;
  std::string name_;
  std::vector<Unit> units_;
  int count_ = 0;
  int type_ = 0;
  int lost_ = 0;
  int left_out_ = 0;
  cv::Size size_px_;
};

}  // namespace ohmglow
