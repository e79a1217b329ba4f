// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/input/log_reading.h"

namespace ohmglow {

/// What the lines of text above the frames of a capture say that may be a time: values behind a
/// word for time or date, values in a unit of time, dates and clocks. Some 20 bytes of each.
class HeadingRows {
 public:
  /// A line above the coming frame.
  void TakeLine(std::string_view line);
  /// The coming frame begins: what follows stands above the next one.
  void EndHeading();
  /// The coming frame is that of another file with its heading; null: it has none.
  void TakeFrame(const HeadingRows* other);

  struct Column {
    std::string label;      ///< As written.
    std::string form;       ///< Of its values: their unit of time, "stamp" or none.
    bool is_time = false;   ///< By its label or its values.
    bool is_named = false;  ///< By its label.
    bool is_date = false;   ///< By its label, a date alone.
  };
  [[nodiscard]] const std::vector<Column>& columns() const { return columns_; }
  [[nodiscard]] int frames() const { return frames_; }
  /// One a frame, empty where its heading has none.
  [[nodiscard]] std::vector<std::string_view> Values(std::size_t column) const;

 private:
  struct Cell {  // Its text begins where that of the cell before ends.
    std::int32_t frame = 0;
    std::uint16_t column = 0;
    std::uint16_t length = 0;
  };
  [[nodiscard]] std::optional<std::size_t> ColumnOf(std::string_view label, std::string_view form);

  std::vector<Column> columns_;
  std::vector<Cell> cells_;
  std::string text_;
  std::int32_t frames_ = 0;
  int lines_ = 0;  // Of the coming frame's heading.
};

/// When frames were taken, by their headings.
struct HeadingTimes {
  std::vector<double> time_s;    ///< One a frame, strictly rising.
  std::optional<WallTime> wall;  ///< The clock at time 0.
  std::string label;             ///< Behind which the times stand.
};

/// Times count as in a supply's log; those from some start stay as they are. A frame of ten may
/// lack its time.
/// @param count  frames that are wanted, from the first one on.
/// @return nothing where no value of the headings rises from frame to frame.
/// @throws InputError  two readings that are as good as each other; begins with `where`.
[[nodiscard]] std::optional<HeadingTimes> ReadHeadingTimes(const HeadingRows& rows,
                                                           int count,
                                                           const std::string& where);

}  // namespace ohmglow
