// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <string>
#include <utility>

#include "flat_pages.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr std::size_t kLongestHeader = 4096;

struct PgmHeader {
  long long width_px = 0;
  long long height_px = 0;
  long long maximum = 0;
  std::size_t length = 0;  // Bytes up to the pixels.
};

bool IsBlank(char c) { return c == ' ' || (c >= '\t' && c <= '\r'); }

[[noreturn]] void BadHeader(const std::string& where) {
  throw InputError(where + ": is no binary grey PGM (P5 width height maximum); save it as such");
}

// Blanks and comments (from # to the end of the line).
void SkipBlanks(const std::string& text, std::size_t& at) {
  while (at < text.size() && (IsBlank(text[at]) || text[at] == '#')) {
    if (text[at] == '#') {
      while (at < text.size() && text[at] != '\n' && text[at] != '\r') ++at;
    } else {
      ++at;
    }
  }
}

long long Number(const std::string& text, std::size_t& at, const std::string& where) {
  SkipBlanks(text, at);
  const std::size_t begin = at;
  long long value = 0;
  for (; at < text.size() && text[at] >= '0' && text[at] <= '9'; ++at) {
    value = value * 10 + (text[at] - '0');
    if (value > 1'000'000) BadHeader(where);
  }
  if (at == begin) BadHeader(where);
  return value;
}

PgmHeader ParseHeader(const std::string& text, std::string_view magic, const std::string& where) {
  if (!text.starts_with(magic)) BadHeader(where);
  PgmHeader header;
  std::size_t at = 2;
  header.width_px = Number(text, at, where);
  header.height_px = Number(text, at, where);
  header.maximum = Number(text, at, where);
  if (at >= text.size() || !IsBlank(text[at])) BadHeader(where);
  header.length = at + 1;
  if (header.maximum < 1 || header.maximum > 65535) {
    throw InputError(where + ": its maximum " + std::to_string(header.maximum) +
                     " is outside 1 .. 65535; write the file again");
  }
  CheckSize(where, header.width_px, header.height_px);
  return header;
}

}  // namespace

FlatPages::Layout ReadPgmLayout(const ByteSource& file) {
  FlatPages::Layout layout;
  layout.sample.big_endian = true;
  std::uint64_t offset = 0;
  while (offset < file.size()) {
    const std::string where = PageName(file.name(), static_cast<int>(layout.offsets.size()));
    const std::string text = file.Peek(offset, kLongestHeader);
    // Some writers end an image with a line feed; another image must begin with P.
    if (!layout.offsets.empty() && Trim(text.substr(0, 16)).empty()) break;
    const PgmHeader header = ParseHeader(text, "P5", where);
    const cv::Size size(static_cast<int>(header.width_px), static_cast<int>(header.height_px));
    const SampleType type = header.maximum > 255 ? SampleType::kU16 : SampleType::kU8;
    if (layout.offsets.empty()) {
      layout.size_px = size;
      layout.sample.type = type;
    } else if (size != layout.size_px || type != layout.sample.type) {
      throw InputError(where + ": differs from page 1 in size or depth; all frames must be alike");
    }
    layout.offsets.push_back(offset + header.length);
    offset = layout.offsets.back() + static_cast<std::uint64_t>(header.width_px) *
                                         static_cast<std::uint64_t>(header.height_px) *
                                         SampleBytes(type);
  }
  if (layout.offsets.empty()) BadHeader(file.name());
  layout.count = static_cast<int>(layout.offsets.size());
  return layout;
}

FlatPages::Layout ReadPfmLayout(const ByteSource& file) {
  const std::string text = file.Peek(0, kLongestHeader);
  if (!text.starts_with("Pf")) {
    throw InputError(file.name() + ": is a colour PFM; save the measured values as one channel");
  }
  FlatPages::Layout layout;
  std::size_t at = 2;
  const long long width = Number(text, at, file.name());
  const long long height = Number(text, at, file.name());
  CheckSize(file.name(), width, height);
  SkipBlanks(text, at);
  const std::size_t end = std::min(text.find_first_of(" \t\r\n", at), text.size());
  const auto scale = ParseNumber(text.substr(at, end - at));
  if (!scale || *scale == 0 || end >= text.size()) {
    throw InputError(file.name() +
                     ": its header is damaged (Pf width height scale); copy it again");
  }
  layout.size_px = {static_cast<int>(width), static_cast<int>(height)};
  layout.sample = {SampleType::kF32, *scale > 0};
  layout.bottom_up = true;
  layout.first_offset = end + 1;
  layout.count = 1;
  return layout;
}

namespace {

// The numbers follow the header as text.
class PlainPgm final : public CountPages {
 public:
  explicit PlainPgm(ByteSource file) : file_(std::move(file)) {
    header_ = ParseHeader(file_.Peek(0, kLongestHeader), "P2", file_.name());
    // A digit and a blank a pixel at least.
    if (static_cast<std::uint64_t>(header_.width_px * header_.height_px) > file_.size()) {
      throw InputError(file_.name() + ": the file is cut short; copy it again");
    }
  }

  [[nodiscard]] int count() const override { return 1; }
  [[nodiscard]] cv::Size size_px() const override {
    return {static_cast<int>(header_.width_px), static_cast<int>(header_.height_px)};
  }
  [[nodiscard]] int type() const override { return header_.maximum > 255 ? CV_16U : CV_8U; }

  void Read(int /*page*/, cv::Mat& counts) override {
    const std::string text = file_.ReadAll(kMostPlainBytes);
    cv::Mat_<std::uint16_t> values(size_px());
    std::size_t at = header_.length - 1;
    for (std::uint16_t& value : values) {
      SkipBlanks(text, at);
      if (at >= text.size()) {
        throw InputError(file_.name() + ": the file is cut short; copy it again");
      }
      const long long number = Number(text, at, file_.name());
      if (number > header_.maximum) {
        throw InputError(file_.name() + ": holds " + std::to_string(number) +
                         ", more than its maximum; write the file again");
      }
      value = static_cast<std::uint16_t>(number);
    }
    values.convertTo(counts, type());
  }

 private:
  static constexpr std::uint64_t kMostPlainBytes = std::uint64_t{1} << 30U;
  ByteSource file_;
  PgmHeader header_;
};

}  // namespace

std::unique_ptr<CountPages> OpenPlainPgm(const ByteSource& file) {
  return std::make_unique<PlainPgm>(file);
}

}  // namespace ohmglow
