// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "words/shown_text.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstdlib>

namespace ohmglow::internal {
namespace {

constexpr char32_t kReplacement = 0xFFFD;
constexpr std::string_view kEllipsis = "\u2026";

struct Range {
  char32_t first;
  char32_t last;
};

template <std::size_t N>
bool InRanges(char32_t c, const std::array<Range, N>& ranges) {
  for (const Range& range : ranges) {
    if (c >= range.first && c <= range.last) return true;
  }
  return false;
}

// Control, direction and invisible format characters: they could hide or
// reorder what stands beside them.
constexpr std::array<Range, 13> kRemoved{{{0x0000, 0x0008},
                                          {0x000E, 0x001F},
                                          {0x007F, 0x0084},
                                          {0x0086, 0x009F},
                                          {0x00AD, 0x00AD},
                                          {0x061C, 0x061C},
                                          {0x200B, 0x200F},
                                          {0x202A, 0x202E},
                                          {0x2060, 0x206F},
                                          {0xFEFF, 0xFEFF},
                                          {0xFFF9, 0xFFFB},
                                          {0xE0000, 0xE007F},
                                          {0xFFFE, 0xFFFF}}};
constexpr std::array<Range, 5> kSpace{
    {{0x0009, 0x000D}, {0x0020, 0x0020}, {0x0085, 0x0085}, {0x00A0, 0x00A0}, {0x2028, 0x2029}}};
constexpr std::array<Range, 5> kCombining{
    {{0x0300, 0x036F}, {0x0591, 0x05BD}, {0x064B, 0x065F}, {0x20D0, 0x20F0}, {0xFE00, 0xFE0F}}};
constexpr std::array<Range, 7> kWide{{{0x1100, 0x115F},
                                      {0x2E80, 0xA4CF},
                                      {0xAC00, 0xD7A3},
                                      {0xF900, 0xFAFF},
                                      {0xFE30, 0xFE6F},
                                      {0xFF00, 0xFF60},
                                      {0x1F300, 0x1FAFF}}};

int ColumnsOf(char32_t c) {
  if (InRanges(c, kCombining)) return 0;
  return InRanges(c, kWide) ? 2 : 1;
}

// Decodes one code point at `pos` and steps over it; a malformed sequence
// costs one byte. RFC 3629: no overlong forms, no surrogates, at most U+10FFFF.
char32_t NextCodePoint(std::string_view text, std::size_t& pos) {
  const auto byte = [&](std::size_t i) -> std::uint32_t {
    return static_cast<unsigned char>(text[i]);
  };
  const std::uint32_t lead = byte(pos);
  const std::size_t length = lead < 0x80              ? 1
                             : (lead & 0xE0U) == 0xC0 ? 2
                             : (lead & 0xF0U) == 0xE0 ? 3
                             : (lead & 0xF8U) == 0xF0 ? 4
                                                      : 0;
  if (length == 1) return text[pos++] < 0 ? kReplacement : lead;
  if (length == 0 || pos + length > text.size()) return ++pos, kReplacement;
  std::uint32_t c = lead & (0x7FU >> length);
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(pos + i) & 0xC0U) != 0x80) return ++pos, kReplacement;
    c = (c << 6U) | (byte(pos + i) & 0x3FU);
  }
  constexpr std::array<std::uint32_t, 5> kLeast{0, 0, 0x80, 0x800, 0x10000};
  if (c < kLeast[length] || c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF)) {
    return ++pos, kReplacement;
  }
  pos += length;
  return c;
}

void Append(std::string& out, char32_t c) {
  const auto put = [&](char32_t v) { out.push_back(static_cast<char>(v)); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | (c >> 6U));
    put(0x80 | (c & 0x3FU));
  } else if (c < 0x10000) {
    put(0xE0 | (c >> 12U));
    put(0x80 | ((c >> 6U) & 0x3FU));
    put(0x80 | (c & 0x3FU));
  } else {
    put(0xF0 | (c >> 18U));
    put(0x80 | ((c >> 12U) & 0x3FU));
    put(0x80 | ((c >> 6U) & 0x3FU));
    put(0x80 | (c & 0x3FU));
  }
}

std::string Encode(std::u32string_view text) {
  std::string out;
  for (const char32_t c : text) Append(out, c);
  return out;
}

struct PowerUnit {
  double factor;
  std::string_view name;
};

PowerUnit UnitFor(double power_w) {
  const double size_w = RoundDigits(std::abs(power_w), 2);
  if (size_w >= 1 || !std::isfinite(size_w)) return {1, "W"};
  // Down to hundredths of the usual unit: one unit reads easier than two.
  if (size_w >= 1e-5 || size_w == 0) return {1e3, "mW"};
  return {1e6, "\u00B5W"};
}

}  // namespace

std::string CleanText(std::string_view text, std::size_t max_chars) {
  std::u32string kept;
  // Decoded only as far as needed: a huge text costs no more than a long one.
  for (std::size_t pos = 0; pos < text.size();) {
    const char32_t c = NextCodePoint(text, pos);
    if (InRanges(c, kSpace)) {
      if (!kept.empty() && kept.back() != U' ') kept.push_back(U' ');
    } else if (!InRanges(c, kRemoved)) {
      kept.push_back(c);
    }
    if (kept.size() > max_chars + 1) break;
  }
  while (!kept.empty() && kept.back() == U' ') kept.pop_back();
  if (kept.size() <= max_chars) return Encode(kept);
  return max_chars == 0 ? std::string() : Encode(kept.substr(0, max_chars - 1)).append(kEllipsis);
}

int NumColumns(std::string_view text) {
  int columns = 0;
  for (std::size_t pos = 0; pos < text.size();) columns += ColumnsOf(NextCodePoint(text, pos));
  return columns;
}

std::string CutToColumns(std::string_view text, int max_columns) {
  if (NumColumns(text) <= max_columns) return std::string(text);
  std::string out;
  int columns = 0;
  for (std::size_t pos = 0; pos < text.size();) {
    const char32_t c = NextCodePoint(text, pos);
    columns += ColumnsOf(c);
    if (columns > max_columns - 1) break;
    Append(out, c);
  }
  return out.append(kEllipsis);
}

std::vector<std::string> WrapColumns(std::string_view text, int max_columns, int indent) {
  std::vector<std::string> lines;
  const std::string start(static_cast<std::size_t>(indent), ' ');
  std::string line;
  std::size_t pos = text.find_first_not_of(' ');
  if (pos != std::string_view::npos) line.assign(pos, ' ');
  bool empty_line = true;
  while (pos < text.size()) {
    const std::size_t end = std::min(text.find(' ', pos), text.size());
    const std::string_view word = text.substr(pos, end - pos);
    if (!empty_line && NumColumns(line) + 1 + NumColumns(word) > max_columns) {
      lines.push_back(line);
      line = start;
      empty_line = true;
    }
    if (!empty_line) line += ' ';
    line += CutToColumns(word, max_columns - NumColumns(line));
    empty_line = false;
    pos = std::min(text.find_first_not_of(' ', end), text.size());
  }
  if (!empty_line) lines.push_back(line);
  return lines;
}

double RoundDigits(double value, int digits) {
  if (!std::isfinite(value) || value == 0) return value;
  std::array<char, 64> buffer{};
  const auto written = std::to_chars(buffer.data(),
                                     buffer.data() + buffer.size(),
                                     value,
                                     std::chars_format::scientific,
                                     digits - 1);
  double rounded = value;
  std::from_chars(buffer.data(), written.ptr, rounded);
  return rounded;
}

std::string AsSentence(std::string text) {
  if (text.empty()) return text;
  text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  if (std::string_view(".!?").find(text.back()) == std::string_view::npos) text += '.';
  return text;
}

std::string FormatDigits(double value, int digits) {
  const double rounded = RoundDigits(value, digits);
  if (!std::isfinite(rounded)) return "?";
  std::array<char, 400> buffer{};
  const auto written = std::to_chars(buffer.data(),
                                     buffer.data() + buffer.size(),
                                     rounded == 0 ? 0.0 : rounded,
                                     std::chars_format::fixed);
  return {buffer.data(), written.ptr};
}

std::string FormatPower(double power_w) {
  const PowerUnit unit = UnitFor(power_w);
  return FormatDigits(power_w * unit.factor, 2) + " " + std::string(unit.name);
}

PowerRange SplitPowerRange(double power_w, double low_w, double high_w) {
  if (!std::isfinite(low_w) || !std::isfinite(high_w) || high_w <= low_w) return {};
  const double factor = UnitFor(power_w).factor;
  return {FormatDigits(low_w * factor, 2), FormatDigits(high_w * factor, 2)};
}

std::string FormatPowerRange(double power_w, double low_w, double high_w) {
  const PowerRange range = SplitPowerRange(power_w, low_w, high_w);
  const std::string text = FormatPower(power_w);
  return range.low.empty() ? text : text + " (" + range.low + " to " + range.high + ")";
}

std::string FormatKelvin(double rise_k) {
  const bool small = std::abs(RoundDigits(rise_k, 2)) < 0.1 && rise_k != 0;
  return small ? FormatDigits(rise_k * 1e3, 2) + " mK" : FormatDigits(rise_k, 2) + " K";
}

}  // namespace ohmglow::internal
