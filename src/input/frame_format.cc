// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "frame_format.h"

#include <array>
#include <cmath>
#include <sstream>

#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr double kMostBytes = 1e12;

// A whole number within limits; the default where the key is not there.
double Whole(const IniFile& ini, const char* key, double least, double most, double fallback) {
  const auto entry = ini.Find(key);
  if (!entry) return fallback;
  const auto value = ParseNumber(entry->value);
  if (value && *value == std::floor(*value) && *value >= least && *value <= most) return *value;
  throw InputError(ini.Where(*entry) + " = " + Quoted(entry->value) + "; must be a whole number, " +
                   FormatNumber(least) + " .. " + FormatNumber(most));
}

cv::Rect Crop(const IniFile& ini) {
  const auto entry = ini.Find("frames.crop");
  if (!entry) return {};
  std::istringstream words(entry->value);
  std::array<int, 4> numbers{};
  bool good = true;
  for (int& number : numbers) good = good && (words >> number) && number >= 0;
  std::string rest;
  if (good && !(words >> rest) && numbers[2] >= 1 && numbers[3] >= 1 &&
      *std::max_element(numbers.begin(), numbers.end()) <= kLargestSidePx) {
    return {numbers[0], numbers[1], numbers[2], numbers[3]};
  }
  throw InputError(ini.Where(*entry) + " = " + Quoted(entry->value) +
                   "; give x y width height in pixels, for example 0 0 320 240");
}

}  // namespace

FrameFormat ReadFrameFormat(const IniFile& ini) {
  FrameFormat format;
  format.width_px = static_cast<int>(Whole(ini, "frames.width_px", 1, kLargestSidePx, 0));
  format.height_px = static_cast<int>(Whole(ini, "frames.height_px", 1, kLargestSidePx, 0));
  if ((format.width_px > 0) != (format.height_px > 0)) {
    throw InputError(ini.file().string() +
                     ": frames.width_px and frames.height_px go together; give both or none");
  }
  format.offset_bytes =
      static_cast<std::uint64_t>(Whole(ini, "frames.offset_bytes", 0, kMostBytes, 0));
  format.gap_bytes = static_cast<std::uint64_t>(Whole(ini, "frames.gap_bytes", 0, kMostBytes, 0));
  if (const auto type = ini.Find("frames.type")) {
    const auto sample = ParseSampleFormat(type->value);
    if (!sample) {
      throw InputError(ini.Where(*type) + " = " + Quoted(type->value) +
                       "; give u, i or f, the bits of a number and le or be (least or most "
                       "significant byte first), for example u16le, i16be, f32le");
    }
    format.sample = *sample;
  }
  if (const auto member = ini.Find("frames.member")) format.member = member->value;
  format.crop_px = Crop(ini);
  return format;
}

}  // namespace ohmglow
