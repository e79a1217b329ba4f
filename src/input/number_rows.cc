// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "number_rows.h"

#include <fast_float/fast_float.h>

#include <algorithm>
#include <array>
#include <limits>
#include <string>

#include "text.h"

namespace ohmglow {
namespace {

constexpr std::size_t kLongestUnit = 8;

bool IsBlank(char c) { return c == ' ' || c == '\t'; }

// A letter, a degree sign of any encoding, a percent sign.
bool IsUnit(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '%' || (c & 0x80) != 0;
}

bool SaysNothing(std::string_view cell) {
  constexpr std::array<std::string_view, 8> kWords = {
      "nan", "-nan", "-", "--", "---", "n/a", "na", "null"};
  return std::find(kWords.begin(), kWords.end(), ToLower(cell)) != kWords.end();
}

const char* SkipBlanks(const char* at, const char* end, char delimiter) {
  while (at < end && IsBlank(*at) && *at != delimiter) ++at;
  return at;
}

// From `at` on the number, the rest of the cell left to be looked at; null where
// there is none.
const char* ReadNumber(const char* at, const char* end, char decimal, float& value) {
  if (at < end && *at == '+') ++at;
  // Words such as inf and nan are none: only digits begin a number.
  const char* const digits = at < end && *at == '-' ? at + 1 : at;
  if (digits >= end || !(IsDigit(*digits) || *digits == decimal)) return nullptr;
  const auto [stop, status] = fast_float::from_chars_advanced(
      at, end, value, fast_float::parse_options(fast_float::chars_format::general, decimal));
  return status == std::errc() || status == std::errc::result_out_of_range ? stop : nullptr;
}

// Behind a number: blanks and a short unit; the cell must end then.
const char* SkipUnit(const char* at, const char* end, char delimiter) {
  const char* const start = at;
  if (delimiter != ' ') at = SkipBlanks(at, end, delimiter);
  while (at < end && IsUnit(*at)) ++at;
  return at - start > static_cast<std::ptrdiff_t>(kLongestUnit) ? nullptr : at;
}

const char* EndOfCell(const char* at, const char* end, NumberStyle style) {
  if (style.delimiter == ' ') return std::find_if(at, end, IsBlank);
  return std::find(at, end, style.delimiter);
}

}  // namespace

NumberStyle TellStyle(std::string_view line) {
  line = Trim(line);
  const auto has = [&](char c) { return line.find(c) != std::string_view::npos; };
  if (has(';')) return {';', has(',')};
  if (has('\t')) return {'\t', has(',')};
  if (!has(',')) return {' ', false};
  // "25,3 25,4": blanks part the numbers, and not behind every comma.
  for (std::size_t i = 1; i + 1 < line.size(); ++i) {
    if (line[i] == ' ' && IsDigit(line[i - 1]) && (IsDigit(line[i + 1]) || line[i + 1] == '-')) {
      return {' ', true};
    }
  }
  return {',', false};
}

int ReadNumbers(std::string_view line, NumberStyle style, float* values, int most) {
  const char* at = line.data();
  const char* end = at + line.size();
  while (end > at && (end[-1] == '\r' || end[-1] == ' ')) --end;
  // A delimiter at the very end closes the last cell.
  if (end > at && end[-1] == style.delimiter) --end;
  const char decimal = style.decimal_comma ? ',' : '.';
  int cells = 0;
  int numbers = 0;
  while (true) {
    at = SkipBlanks(at, end, style.delimiter == ' ' ? '\0' : style.delimiter);
    if (at >= end && (cells > 0 && style.delimiter == ' ')) break;
    const bool quoted = at < end && *at == '"';
    if (quoted) ++at;
    float value = std::numeric_limits<float>::quiet_NaN();
    const char* next = ReadNumber(at, end, decimal, value);
    if (next != nullptr) {
      ++numbers;
      next = SkipUnit(next, end, style.delimiter);
      if (next == nullptr) return -1;
    } else {
      next = EndOfCell(at, end, style);
      std::string_view cell = Trim({at, static_cast<std::size_t>(next - at)});
      if (quoted && cell.ends_with('"')) cell.remove_suffix(1);
      if (!cell.empty() && !SaysNothing(cell)) return -1;
    }
    if (next < end && quoted && *next == '"') ++next;
    if (cells < most) values[cells] = value;
    ++cells;
    at = SkipBlanks(next, end, style.delimiter == ' ' ? '\0' : style.delimiter);
    if (at >= end) break;
    if (style.delimiter == ' ') {
      if (at == next) return -1;  // Something sticks to the number.
      continue;
    }
    if (*at != style.delimiter) return -1;
    ++at;
    if (at >= end) {
      if (cells < most) values[cells] = std::numeric_limits<float>::quiet_NaN();
      ++cells;
      break;
    }
  }
  return numbers > 0 ? cells : -1;
}

}  // namespace ohmglow
