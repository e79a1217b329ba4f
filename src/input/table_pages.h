// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "count_pages.h"
#include "number_rows.h"

namespace ohmglow {

/// Frames written as tables of numbers: one frame, or several one below the other,
/// parted by blank lines or lines of text, or each of `format.height_px` rows; or,
/// where the given width x height is the number of cells in a line, one frame a line.
/// Lines of text above are passed over; a first row or column that counts 0, 1, 2 ...
/// or 1, 2, 3 ... is no value. Opening finds where frames begin.
class TablePages final : public CountPages {
 public:
  /// @throws InputError  no rows of numbers, rows of many lengths, UTF-16.
  TablePages(ByteSource file, const FrameFormat& format);

  [[nodiscard]] int count() const override { return static_cast<int>(frames_.size()); }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] int type() const override { return CV_32F; }
  void Read(int page, cv::Mat& counts) override;
  [[nodiscard]] std::vector<std::string> Notes() const override { return notes_; }
  [[nodiscard]] bool cut_off() const override { return cut_off_; }
  [[nodiscard]] const HeadingRows* Headings() const override { return &headings_; }

 private:
  struct Frame {
    std::uint64_t offset = 0;
    std::uint64_t end = 0;
    std::int32_t line = 0;  // Of its first row, from 1.
    std::int32_t rows = 0;
  };
  void FindStyle();
  void FindFrames(int given_rows);
  void CheckFrames(const FrameFormat& format);
  void FindCounters();
  [[nodiscard]] bool IsRow(std::string_view line, std::vector<float>& values) const;
  void ReadRows(const Frame& frame, cv::Mat_<float>& rows);

  ByteSource file_;
  NumberStyle style_;
  int columns_ = 0;  // Cells of a line, those that count included.
  int rows_ = 0;     // Lines of a frame.
  bool frame_a_line_ = false;
  bool counts_rows_ = false;     // The first column.
  bool counts_columns_ = false;  // The first row.
  cv::Size size_px_;
  std::size_t usual_length_ = 0;  // Bytes of a line.
  std::vector<Frame> frames_;
  HeadingRows headings_;
  std::vector<std::string> notes_;
  bool cut_off_ = false;
  std::string text_;
};

/// Whether bytes look like text: no zero byte and hardly any control characters.
[[nodiscard]] bool LooksLikeText(std::string_view start);

/// Whether most of a text is digits, signs and what parts numbers.
[[nodiscard]] bool LooksLikeNumbers(std::string_view start);

}  // namespace ohmglow
