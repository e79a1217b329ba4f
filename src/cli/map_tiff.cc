// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/map_tiff.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <vector>

namespace ohmglow::cli {
namespace {

// Kinds of field values.
constexpr std::uint16_t kAscii = 2;
constexpr std::uint16_t kShort = 3;
constexpr std::uint16_t kLong = 4;
constexpr std::uint16_t kRational = 5;

template <typename T>
void Append(std::string& bytes, T value) {
  const auto* first = reinterpret_cast<const char*>(&value);
  bytes.append(first, sizeof value);
}

struct Field {
  std::uint16_t tag;
  std::uint16_t kind;
  std::uint32_t count;
  std::uint32_t value;  // Or where in the file the value stands.
};

void AppendField(std::string& bytes, const Field& field) {
  Append(bytes, field.tag);
  Append(bytes, field.kind);
  Append(bytes, field.count);
  if (field.kind == kShort) {  // Left-justified within its four bytes.
    Append(bytes, static_cast<std::uint16_t>(field.value));
    Append(bytes, std::uint16_t{0});
  } else {
    Append(bytes, field.value);
  }
}

}  // namespace

std::string MapTiff(const Image& map, const std::string& description, double mm_per_pixel) {
  // Header, resolution, description (at least five bytes, so that it does not
  // fit the field itself), pixels, directory.
  std::string bytes(std::endian::native == std::endian::little ? "II" : "MM");
  Append(bytes, std::uint16_t{42});
  Append(bytes, std::uint32_t{0});  // Where the directory stands; below.
  const auto here = [&] { return static_cast<std::uint32_t>(bytes.size()); };
  constexpr std::uint32_t kParts = 100000;
  const bool scaled = mm_per_pixel > 0 && std::isfinite(mm_per_pixel);
  const std::uint32_t resolution_at = here();
  const double per_cm = scaled ? std::clamp(10 / mm_per_pixel, 1e-4, 4e4) : 1;
  Append(bytes, static_cast<std::uint32_t>(std::lround(per_cm * kParts)));
  Append(bytes, kParts);
  std::string text = description;
  text.resize(std::max<std::size_t>(text.size() + 1, 6), '\0');
  const std::uint32_t text_at = here();
  bytes += text;
  bytes.resize((bytes.size() + 3) / 4 * 4, '\0');
  const std::uint32_t pixels_at = here();
  for (int y = 0; y < map.rows; ++y) {
    bytes.append(reinterpret_cast<const char*>(map[y]),
                 static_cast<std::size_t>(map.cols) * sizeof(float));
  }
  const std::uint32_t directory_at = here();
  const auto rows = static_cast<std::uint32_t>(map.rows);
  const auto cols = static_cast<std::uint32_t>(map.cols);
  // Tags in rising order. Resolution unit 3: centimetre, 1: none.
  const std::vector<Field> fields = {
      {256, kLong, 1, cols},
      {257, kLong, 1, rows},
      {258, kShort, 1, 32},
      {259, kShort, 1, 1},
      {262, kShort, 1, 1},
      {270, kAscii, static_cast<std::uint32_t>(text.size()), text_at},
      {273, kLong, 1, pixels_at},
      {277, kShort, 1, 1},
      {278, kLong, 1, rows},
      {279, kLong, 1, directory_at - pixels_at},
      {282, kRational, 1, resolution_at},
      {283, kRational, 1, resolution_at},
      {296, kShort, 1, scaled ? 3U : 1U},
      {339, kShort, 1, 3}};
  Append(bytes, static_cast<std::uint16_t>(fields.size()));
  for (const Field& field : fields) AppendField(bytes, field);
  Append(bytes, std::uint32_t{0});
  std::string at;
  Append(at, directory_at);
  bytes.replace(4, 4, at);
  return bytes;
}

}  // namespace ohmglow::cli
