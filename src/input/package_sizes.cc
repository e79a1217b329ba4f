// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "package_sizes.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "text.h"
#include "unit_words.h"

namespace ohmglow {
namespace {

struct Chip {
  std::string_view inch, metric;
  double length_mm, width_mm;
};
// Chip sizes as EIA (inch) and IEC (metric) code them; nominal millimetres, from memory.
constexpr auto kChips = std::to_array<Chip>({{"0201", "0603", 0.6, 0.3},
                                             {"0402", "1005", 1.0, 0.5},
                                             {"0603", "1608", 1.6, 0.8},
                                             {"0805", "2012", 2.0, 1.25},
                                             {"1206", "3216", 3.2, 1.6},
                                             {"1210", "3225", 3.2, 2.5},
                                             {"1812", "4532", 4.5, 3.2},
                                             {"2010", "5025", 5.0, 2.5},
                                             {"2512", "6332", 6.3, 3.2}});

struct Outline {
  std::string_view name;
  double x_mm, y_mm;
};
// Moulded bodies without leads, by JEDEC outlines (SOIC MS-012, SOT-23 TO-236, SMA/B/C DO-214,
// TO-252, TO-263); nominal millimetres, from memory. Longer names first.
constexpr auto kOutlines = std::to_array<Outline>(
    {{"sot223", 3.5, 6.5},  {"sot23", 1.3, 2.9},   {"sot323", 1.25, 2.0}, {"sot363", 1.25, 2.0},
     {"sot89", 2.5, 4.5},   {"sod123", 2.7, 1.6},  {"sod323", 1.7, 1.25}, {"do214ac", 4.3, 2.6},
     {"do214aa", 4.3, 3.6}, {"do214ab", 6.9, 5.9}, {"sma", 4.3, 2.6},     {"smb", 4.3, 3.6},
     {"smc", 6.9, 5.9},     {"soic14", 3.9, 8.65}, {"soic16", 3.9, 9.9},  {"soic8", 3.9, 4.9},
     {"so8", 3.9, 4.9},     {"msop10", 3.0, 3.0},  {"msop8", 3.0, 3.0},   {"tssop20", 4.4, 6.5},
     {"tssop16", 4.4, 5.0}, {"tssop14", 4.4, 5.0}, {"tssop8", 4.4, 3.0},  {"to252", 6.1, 6.6},
     {"dpak", 6.1, 6.6},    {"to263", 9.2, 10.2},  {"d2pak", 9.2, 10.2}});

bool IsLetter(char c) { return c >= 'a' && c <= 'z'; }

std::string Joined(std::string_view folded) {
  std::string joined;
  for (const char c : folded) {
    if (IsDigit(c) || IsLetter(c)) joined += c;
  }
  return joined;
}

// A number with a point that ends before `at`, or begins there.
std::optional<double> NumberBefore(std::string_view text, std::size_t at) {
  std::size_t begin = at;
  while (begin > 0 && (IsDigit(text[begin - 1]) || text[begin - 1] == '.')) --begin;
  return ParseNumber(text.substr(begin, at - begin));
}

std::optional<double> NumberFrom(std::string_view text, std::size_t at) {
  std::size_t end = at;
  while (end < text.size() && (IsDigit(text[end]) || text[end] == '.')) ++end;
  return ParseNumber(text.substr(at, end - at));
}

// "5x5mm", "QFN-32_5x5", "D8.0x10.2": the first two numbers with an x between them.
std::optional<BodySize> StatedSize(std::string_view folded) {
  for (std::size_t x = 1; x + 1 < folded.size(); ++x) {
    if (folded[x] != 'x') continue;
    const auto first = NumberBefore(folded, x);
    const auto second = NumberFrom(folded, x + 1);
    // "1x20" counts the pins of a row: no body of a board is under a millimetre wide and as long.
    const bool likely = first && second && *first > 0.2 && *second > 0.2 && *first <= 100 &&
                        *second <= 100 &&
                        std::max(*first, *second) <= 12 * std::min(*first, *second);
    if (!likely) continue;
    // A can of electrolyte states its diameter and how high it stands.
    std::size_t before = x;
    while (before > 0 && (IsDigit(folded[before - 1]) || folded[before - 1] == '.')) --before;
    const bool round =
        before > 0 && folded[before - 1] == 'd' && (before == 1 || !IsLetter(folded[before - 2]));
    return BodySize{*first, round ? *first : *second, false};
  }
  return std::nullopt;
}

// "7.0 mm x 7.0 mm" and "7 * 7" as "7.0x7.0" and "7x7".
std::string CloseCrosses(std::string_view name) {
  std::string text;
  for (std::size_t i = 0; i < name.size(); ++i) {
    const bool sign = name.substr(i).starts_with("\xC3\x97");  // U+00D7
    const char c = sign || name[i] == '*' ? 'x' : name[i];
    if (sign) ++i;
    const bool after_cross =
        text.size() > 1 && text.back() == 'x' && IsDigit(text[text.size() - 2]);
    if (c == ' ' && after_cross) continue;
    if (c == 'x' || c == 'X') {
      std::string_view before = Trim(text);
      if (before.ends_with("mm")) before = Trim(before.substr(0, before.size() - 2));
      if (!before.empty() && IsDigit(before.back())) text = std::string(before);
    }
    text += c;
  }
  return text;
}

// "QFN-32", "48-LQFP": the number beside the family's name.
int PinsBeside(std::string_view folded, std::size_t begin, std::size_t end) {
  const auto is_mark = [](char c) { return c == '-' || c == '_' || c == ' '; };
  if (end < folded.size() && is_mark(folded[end])) ++end;
  std::size_t last = end;
  while (last < folded.size() && IsDigit(folded[last])) ++last;
  const bool whole = last == folded.size() || folded[last] != '.';
  if (last > end && whole) return static_cast<int>(*ParseNumber(folded.substr(end, last - end)));
  while (begin > 0 && IsLetter(folded[begin - 1])) --begin;  // The v of vqfn.
  if (begin > 0 && is_mark(folded[begin - 1])) --begin;
  const auto before = NumberBefore(folded, begin);
  return before && *before < 1000 ? static_cast<int>(*before) : 0;
}

// The first number with a point that may part two pins.
std::optional<double> PitchIn(std::string_view folded) {
  for (std::size_t at = 0; at < folded.size(); ++at) {
    if (!IsDigit(folded[at]) || (at > 0 && (IsDigit(folded[at - 1]) || folded[at - 1] == '.'))) {
      continue;
    }
    const auto number = NumberFrom(folded, at);
    if (number && *number >= 0.35 && *number <= 0.8) return number;
  }
  return std::nullopt;
}

// Bodies with pins on four sides. JEDEC MS-026 (QFP) and MO-220 (QFN) have a few
// sizes; the smallest one that takes the row of pins is the usual one (from memory).
std::optional<BodySize> QuadSize(std::string_view folded) {
  constexpr auto kQfpMm = std::to_array<double>({5, 7, 10, 12, 14, 20, 24, 28});
  constexpr double kQfpMarginMm = 1;
  constexpr double kQfnMarginMm = 1.4;
  for (const std::string_view family : {"qfp", "qfn"}) {
    const std::size_t at = folded.find(family);
    if (at == std::string_view::npos) continue;
    const int pins = PinsBeside(folded, at, at + family.size());
    if (pins < 12 || pins > 256 || pins % 4 != 0) return std::nullopt;
    const bool is_qfp = family == "qfp";
    const double usual_mm = is_qfp && pins <= 44 ? 0.8 : 0.5;
    const double row_mm = (pins / 4 - 1) * PitchIn(folded).value_or(usual_mm);
    if (!is_qfp) {
      const double side_mm = std::ceil(row_mm + kQfnMarginMm - 1e-9);
      return BodySize{side_mm, side_mm, false, true};
    }
    for (const double side_mm : kQfpMm) {
      if (side_mm >= row_mm + kQfpMarginMm - 1e-9) return BodySize{side_mm, side_mm, false, true};
    }
  }
  return std::nullopt;
}

// The four digits of a chip's code that stand alone.
std::optional<BodySize> ChipSize(std::string_view folded) {
  for (std::size_t at = 0; at + 4 <= folded.size(); ++at) {
    const std::string_view code = folded.substr(at, 4);
    const bool alone = (at == 0 || !IsDigit(folded[at - 1])) &&
                       (at + 4 == folded.size() || !IsDigit(folded[at + 4]));
    if (!alone || !std::all_of(code.begin(), code.end(), IsDigit)) continue;
    const std::string_view after = folded.substr(at + 4);
    const bool metric =
        after.starts_with("m") || after.starts_with("_m") || after.starts_with(" m");
    const auto of = [&](bool by_metric) {
      return std::find_if(kChips.begin(), kChips.end(), [&](const Chip& chip) {
        return (by_metric ? chip.metric : chip.inch) == code;
      });
    };
    const auto other = of(true);
    auto found = metric ? other : of(false);
    const bool open = !metric && found != kChips.end() && other != kChips.end() &&
                      folded.find("inch") == std::string_view::npos &&
                      folded.find("metric") == std::string_view::npos;
    if (found == kChips.end()) found = other;  // 1608 is a size of one count alone.
    if (found != kChips.end()) return BodySize{found->length_mm, found->width_mm, open};
  }
  return std::nullopt;
}

}  // namespace

std::optional<BodySize> SizeOfPackage(std::string_view name) {
  if (name.size() > 200) return std::nullopt;
  const std::string folded = Fold(CloseCrosses(name));
  if (const auto stated = StatedSize(folded)) return stated;
  if (const auto quad = QuadSize(folded)) return quad;
  const std::string joined = Joined(folded);
  for (const Outline& outline : kOutlines) {
    const std::size_t at = joined.find(outline.name);
    if (at == std::string::npos) continue;
    const std::size_t end = at + outline.name.size();
    const bool ends = end == joined.size() || !IsDigit(joined[end]) || !IsDigit(joined[end - 1]) ||
                      outline.name.starts_with("sot23");
    const bool begins = at == 0 || !IsLetter(joined[at - 1]);
    if (ends && begins) return BodySize{outline.x_mm, outline.y_mm, false};
  }
  return ChipSize(folded);
}

BodySize UsualSize(std::string_view kind) {
  if (kind == "ic" || kind == "connector" || kind == "shield") return {6, 6, false};
  if (kind == "inductor") return {5, 5, false};
  if (kind == "transistor" || kind == "diode") return {2.9, 1.6, false};
  return {1.6, 0.8, false};
}

}  // namespace ohmglow
