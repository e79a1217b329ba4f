// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "survey/picture_header.h"

#include <array>
#include <cstdint>
#include <cstdlib>
#include <sstream>
#include <string>

#include "input/count_pages.h"

namespace ohmglow {
namespace {

using std::string_view_literals::operator""sv;

unsigned Byte(std::string_view text, std::size_t at) {
  return at < text.size() ? static_cast<unsigned char>(text[at]) : 0U;
}

int Big16(std::string_view text, std::size_t at) {
  return static_cast<int>(Byte(text, at) << 8U | Byte(text, at + 1));
}

int Big32(std::string_view text, std::size_t at) {
  return static_cast<int>(static_cast<unsigned>(Big16(text, at)) << 16U |
                          static_cast<unsigned>(Big16(text, at + 2)));
}

int Little32(std::string_view text, std::size_t at) {
  return static_cast<int>(Byte(text, at) | Byte(text, at + 1) << 8U | Byte(text, at + 2) << 16U |
                          Byte(text, at + 3) << 24U);
}

PictureHeader Png(std::string_view start) {
  constexpr unsigned kColourBit = 2;
  return {{Big32(start, 16), Big32(start, 20)}, (Byte(start, 25) & kColourBit) != 0};
}

std::optional<PictureHeader> Jpeg(std::string_view start) {
  std::size_t at = 2;
  while (at + 9 < start.size()) {
    if (Byte(start, at) != 0xFF) return std::nullopt;
    const unsigned marker = Byte(start, at + 1);
    if (marker == 0xFF) {  // Fill bytes.
      ++at;
      continue;
    }
    const bool is_frame =
        marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 && marker != 0xCC;
    if (is_frame) {
      return PictureHeader{{Big16(start, at + 7), Big16(start, at + 5)}, Byte(start, at + 9) > 1};
    }
    at += 2 + static_cast<std::size_t>(Big16(start, at + 2));
  }
  return std::nullopt;
}

std::optional<PictureHeader> Pnm(std::string_view start) {
  const char kind = start[1];
  std::istringstream text{std::string(start.substr(2, 400))};
  std::array<int, 2> numbers{};
  for (int& number : numbers) {
    while (text >> std::ws && text.peek() == '#') text.ignore(400, '\n');
    if (!(text >> number)) return std::nullopt;
  }
  return PictureHeader{{numbers[0], numbers[1]}, kind == '3' || kind == '6'};
}

std::optional<PictureHeader> Bmp(std::string_view start) {
  const std::int64_t rows = Little32(start, 22);  // Negative: from the top down.
  const std::int64_t height_px = std::abs(rows);
  if (height_px > kLargestSidePx) return std::nullopt;
  return PictureHeader{{Little32(start, 18), static_cast<int>(height_px)}, Byte(start, 28) >= 16};
}

std::optional<PictureHeader> Read(std::string_view start) {
  if (start.starts_with("\x89PNG\r\n\x1a\n"sv) && start.size() > 25) return Png(start);
  if (start.starts_with("\xFF\xD8\xFF"sv)) return Jpeg(start);
  if (start.starts_with("BM") && start.size() > 30 && Little32(start, 14) >= 40) {
    return Bmp(start);
  }
  if (start.size() > 3 && start[0] == 'P' && start[1] >= '2' && start[1] <= '6') return Pnm(start);
  return std::nullopt;
}

bool IsSide(int side_px) { return side_px >= 1 && side_px <= kLargestSidePx; }

}  // namespace

std::optional<PictureHeader> ReadPictureHeader(std::string_view start) {
  const auto header = Read(start);
  if (!header || !IsSide(header->size_px.width) || !IsSide(header->size_px.height)) {
    return std::nullopt;
  }
  return header;
}

bool StartsAsPicture(std::string_view start) {
  return start.starts_with("\x89PNG\r\n\x1a\n"sv) || start.starts_with("\xFF\xD8\xFF"sv);
}

}  // namespace ohmglow
