// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <string>

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

PgmHeader ParseHeader(const std::string& text, const std::string& where) {
  if (!text.starts_with("P5")) BadHeader(where);
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
  layout.big_endian = true;
  std::uint64_t offset = 0;
  while (offset < file.size()) {
    const std::string where = PageName(file.name(), static_cast<int>(layout.offsets.size()));
    const std::string text = file.Peek(offset, kLongestHeader);
    // Some writers end an image with a line feed; another image must begin with P.
    if (!layout.offsets.empty() && Trim(text.substr(0, 16)).empty()) break;
    const PgmHeader header = ParseHeader(text, where);
    const cv::Size size(static_cast<int>(header.width_px), static_cast<int>(header.height_px));
    const int type = header.maximum > 255 ? CV_16U : CV_8U;
    if (layout.offsets.empty()) {
      layout.size_px = size;
      layout.type = type;
    } else if (size != layout.size_px || type != layout.type) {
      throw InputError(where + ": differs from page 1 in size or depth; all frames must be alike");
    }
    layout.offsets.push_back(offset + header.length);
    offset = layout.offsets.back() + static_cast<std::uint64_t>(header.width_px) *
                                         static_cast<std::uint64_t>(header.height_px) *
                                         (type == CV_16U ? 2U : 1U);
  }
  if (layout.offsets.empty()) BadHeader(file.name());
  return layout;
}

}  // namespace ohmglow
