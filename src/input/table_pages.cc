// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "table_pages.h"

#include <algorithm>
#include <cstring>
#include <map>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

constexpr std::size_t kSample = std::size_t{1} << 20U;
constexpr std::size_t kBlock = std::size_t{1} << 20U;
constexpr std::uint64_t kMostFrameBytes = std::uint64_t{512} << 20U;
constexpr int kSampledRows = 64;
// A line at least so long against the usual one is a row without a closer look.
constexpr double kSurelyRow = 0.5;

[[noreturn]] void Fail(const ByteSource& file, const std::string& what) {
  throw InputError(file.name() + ": " + what);
}

std::string_view TakeLine(std::string_view& text) {
  const std::size_t end = std::min(text.find('\n'), text.size());
  const std::string_view line = text.substr(0, end);
  text.remove_prefix(std::min(end + 1, text.size()));
  return line;
}

bool IsBlankLine(std::string_view line) {
  return line.find_first_not_of(" \t\r") == std::string_view::npos;
}

bool BeginsAsNumber(std::string_view line) {
  const std::size_t at = line.find_first_not_of(" \t\"");
  if (at == std::string_view::npos) return false;
  const char c = line[at];
  return (c >= '0' && c <= '9') || c == '-' || c == '+' || c == '.' || c == ',' || c == ';' ||
         c == 'n' || c == 'N';
}

// Calls `take(line, offset)` for every line of the file, block by block.
template <typename Take>
void EachLine(const ByteSource& file, const Take& take) {
  std::string text;
  std::uint64_t offset = 0;  // Of text[0].
  std::uint64_t next = 0;
  while (next < file.size() || !text.empty()) {
    text += file.Peek(next, kBlock);
    next = std::min(file.size(), next + kBlock);
    const bool last = next >= file.size();
    std::string_view left = text;
    while (!left.empty()) {
      if (!last && left.find('\n') == std::string_view::npos) break;
      const auto* const begin = left.data();
      const std::string_view line = TakeLine(left);
      take(line, offset + static_cast<std::uint64_t>(begin - text.data()));
    }
    if (left.size() > kMostFrameBytes) Fail(file, "has a line of more than 512 MB");
    const std::size_t used = text.size() - left.size();
    text.erase(0, used);
    offset += used;
    if (last) break;
  }
}

// Whether values count 0, 1, 2 ... or 1, 2, 3 ...
template <typename At>
bool Counts(int length, const At& at) {
  if (length < 4 || (at(0) != 0 && at(0) != 1)) return false;
  for (int i = 1; i < length; ++i) {
    if (at(i) != at(0) + static_cast<float>(i)) return false;
  }
  return true;
}

}  // namespace

bool LooksLikeText(std::string_view start) {
  if (start.empty()) return false;
  const auto odd = std::count_if(start.begin(), start.end(), [](char c) {
    return static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\r' && c != '\t' && c != '\f';
  });
  return start.find('\0') == std::string_view::npos &&
         static_cast<std::size_t>(odd) <= start.size() / 100;
}

bool LooksLikeNumbers(std::string_view start) {
  constexpr std::string_view kSigns = "0123456789 \t\r\n.,;+-";
  const auto signs = std::count_if(
      start.begin(), start.end(), [&](char c) { return kSigns.find(c) != std::string_view::npos; });
  // Counts of 16 bits may be tabs and digits in turns (2304 to 2361): in a table digits stand
  // side by side.
  const auto digit = [](char c) { return c >= '0' && c <= '9'; };
  std::size_t pairs = 0;
  for (std::size_t i = 1; i < start.size(); ++i) {
    pairs += digit(start[i - 1]) && digit(start[i]) ? 1 : 0;
  }
  return 10 * static_cast<std::size_t>(signs) > 7 * start.size() && 20 * pairs > start.size();
}

TablePages::TablePages(ByteSource file, const FrameFormat& format) : file_(std::move(file)) {
  const std::string start = file_.Peek(0, 4);
  if (start.starts_with("\xFF\xFE") || start.starts_with("\xFE\xFF")) {
    Fail(file_, "is UTF-16 text; save it as UTF-8");
  }
  FindStyle();
  frame_a_line_ = format.width_px > 0 &&
                  static_cast<std::int64_t>(format.width_px) * format.height_px == columns_;
  FindFrames(frame_a_line_ ? 1 : format.height_px);
  CheckFrames(format);
}

void TablePages::FindStyle() {
  const std::string sample = file_.Peek(0, kSample);
  std::string_view left = sample;
  if (left.starts_with("\xEF\xBB\xBF")) left.remove_prefix(3);
  struct Shape {
    int rows = 0;
    NumberStyle style;
    std::size_t bytes = 0;
  };
  std::map<int, Shape> shapes;
  int found = 0;
  std::vector<float> none(1);
  while (!left.empty() && found < kSampledRows) {
    const std::string_view line = TakeLine(left);
    // A line that the sample cuts off says nothing of its length.
    if (left.empty() && sample.size() == kSample && found > 0) break;
    if (!BeginsAsNumber(line)) continue;
    const NumberStyle style = TellStyle(line);
    const int cells = ReadNumbers(line, style, none.data(), 0);
    if (cells < 2) continue;
    Shape& shape = shapes[cells];
    ++shape.rows;
    shape.style = style;
    shape.bytes += line.size();
    ++found;
  }
  if (shapes.empty()) {
    Fail(file_, "holds no rows of numbers; a frame is a table of values, one row a line");
  }
  const auto usual =
      std::max_element(shapes.begin(), shapes.end(), [](const auto& a, const auto& b) {
        return a.second.rows * a.first < b.second.rows * b.first;
      });
  columns_ = usual->first;
  style_ = usual->second.style;
  usual_length_ = usual->second.bytes / static_cast<std::size_t>(usual->second.rows);
}

bool TablePages::IsRow(std::string_view line, std::vector<float>& values) const {
  if (!BeginsAsNumber(line)) return false;
  if (static_cast<double>(line.size()) >= kSurelyRow * static_cast<double>(usual_length_) &&
      usual_length_ > 200) {
    return true;
  }
  return ReadNumbers(line, style_, values.data(), 0) == columns_;
}

void TablePages::FindFrames(int given_rows) {
  std::vector<float> values(1);
  std::int32_t number = 0;
  bool open = false;
  EachLine(file_, [&](std::string_view line, std::uint64_t offset) {
    ++number;
    if (offset == 0 && line.starts_with("\xEF\xBB\xBF")) line.remove_prefix(3);
    const bool blank = IsBlankLine(line);
    if (blank || !IsRow(line, values)) {
      open = false;
      if (!blank) headings_.TakeLine(line);
      return;
    }
    if (!open || (given_rows > 0 && frames_.back().rows == given_rows)) {
      frames_.push_back({offset, offset, number, 0});
      headings_.EndHeading();
      open = true;
    }
    ++frames_.back().rows;
    frames_.back().end = offset + line.size();
  });
  if (frames_.empty()) Fail(file_, "holds no rows of numbers");
  std::map<int, int> lengths;
  for (const Frame& frame : frames_) ++lengths[frame.rows];
  rows_ = std::max_element(lengths.begin(), lengths.end(), [](const auto& a, const auto& b) {
            return a.second * a.first < b.second * b.first;
          })->first;
  if (given_rows > 0) rows_ = given_rows;
}

void TablePages::CheckFrames(const FrameFormat& format) {
  // The last one may have been cut off with the recording.
  if (frames_.size() > 1 && frames_.back().rows < rows_) {
    const int all = count();
    if (FewLost(1, all)) {
      frames_.pop_back();
      cut_off_ = true;
      notes_.push_back(CutOffNote(file_.name(), 1, all));
    }
  }
  const auto odd = std::count_if(
      frames_.begin(), frames_.end(), [&](const Frame& frame) { return frame.rows != rows_; });
  if (!FewLost(static_cast<int>(odd), count())) {
    Fail(file_,
         "has blocks of " + std::to_string(frames_.front().rows) +
             " and of other numbers of rows, "
             "not of " +
             std::to_string(rows_) + " each; give frames.height_px, the rows of a frame");
  }
  if (frame_a_line_) {
    size_px_ = {format.width_px, format.height_px};
    return;
  }
  CheckSize(file_.name() + ", row " + std::to_string(frames_.front().line), columns_, 1);
  if (rows_ > kLargestSidePx || (count() == 1 && rows_ > 16 * columns_)) {
    Fail(file_,
         "has " + std::to_string(rows_) + " rows of " + std::to_string(columns_) +
             " numbers without a break; give frames.height_px, the rows of a frame");
  }
  FindCounters();
  size_px_ = {columns_ - (counts_rows_ ? 1 : 0), rows_ - (counts_columns_ ? 1 : 0)};
  if (format.width_px > 0 && size_px_ != cv::Size(format.width_px, format.height_px)) {
    Fail(file_,
         "has frames of " + std::to_string(size_px_.width) + " x " +
             std::to_string(size_px_.height) +
             " numbers; correct frames.width_px and frames.height_px, or leave them out");
  }
}

void TablePages::FindCounters() {
  const auto whole = std::find_if(
      frames_.begin(), frames_.end(), [&](const Frame& frame) { return frame.rows == rows_; });
  if (whole == frames_.end()) return;
  cv::Mat_<float> values;
  ReadRows(*whole, values);
  // A corner cell may be empty or anything.
  counts_columns_ = Counts(columns_ - 1, [&](int i) { return values(0, i + 1); }) ||
                    Counts(columns_, [&](int i) { return values(0, i); });
  const int first = counts_columns_ ? 1 : 0;
  counts_rows_ = Counts(rows_ - first, [&](int i) { return values(i + first, 0); });
}

void TablePages::ReadRows(const Frame& frame, cv::Mat_<float>& rows) {
  if (frame.end - frame.offset > kMostFrameBytes) Fail(file_, "has a frame of more than 512 MB");
  text_.resize(static_cast<std::size_t>(frame.end - frame.offset));
  file_.Read(frame.offset, text_.size(), text_.data(), file_.name());
  std::string_view left = text_;
  if (frame.offset == 0 && left.starts_with("\xEF\xBB\xBF")) left.remove_prefix(3);
  rows.create(frame.rows, columns_);
  for (int y = 0; y < frame.rows; ++y) {
    const std::string_view line = TakeLine(left);
    const int cells = ReadNumbers(line, style_, rows[y], columns_);
    if (cells == columns_) continue;
    throw InputError(file_.name() + ", row " + std::to_string(frame.line + y) + ": " +
                     (cells < 0 ? std::string("holds something that is no number")
                                : "has " + std::to_string(cells) + " numbers") +
                     " where the rows have " + std::to_string(columns_) + "; correct it");
  }
}

void TablePages::Read(int page, cv::Mat& counts) {
  const Frame& frame = frames_[static_cast<std::size_t>(page)];
  if (frame.rows != rows_) {
    throw InputError(PageName(file_.name(), page) + " (row " + std::to_string(frame.line) +
                     "): has " + std::to_string(frame.rows) + " rows where the other frames have " +
                     std::to_string(rows_));
  }
  cv::Mat_<float> values;
  ReadRows(frame, values);
  if (frame_a_line_) {
    counts = values.reshape(1, size_px_.height);
  } else {
    values(cv::Rect({counts_rows_ ? 1 : 0, counts_columns_ ? 1 : 0}, size_px_)).copyTo(counts);
  }
}

}  // namespace ohmglow
