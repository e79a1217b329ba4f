// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <charconv>
#include <cmath>
#include <string>

#include "ohmglow/picture/report.h"

namespace ohmglow {
namespace {

// With a point whatever the locale.
std::string Fixed(double value, int decimals) {
  if (!std::isfinite(value)) return {};
  std::array<char, 400> buffer{};
  const auto end = std::to_chars(
      buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, decimals);
  std::string text(buffer.data(), end.ptr);
  const bool is_zero = text.find_first_not_of("-0.") == std::string::npos;
  return is_zero && text.front() == '-' ? text.substr(1) : text;
}

}  // namespace

std::string ToMotionCsv(const Alignment& alignment) {
  std::string csv = "index,used,dx_px,dy_px,rotation_deg,scale\n";
  for (std::size_t i = 0; i < alignment.frames.size(); ++i) {
    const FrameState& frame = alignment.frames[i];
    csv += std::to_string(i);
    if (!frame.used) {
      csv += ",0,,,,\n";
      continue;
    }
    const Similarity& map = frame.frame_from_reference;
    csv += ",1," + Fixed(map.dx_px, 4) + "," + Fixed(map.dy_px, 4) + "," +
           Fixed(map.rotation_deg, 5) + "," + Fixed(map.scale, 7) + "\n";
  }
  return csv;
}

}  // namespace ohmglow
