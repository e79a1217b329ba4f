// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heading_line.h"

#include <algorithm>

#include "stamp.h"
#include "text.h"
#include "unit_words.h"

namespace ohmglow {
namespace {

constexpr std::size_t kLongestStamp = 40;
constexpr std::size_t kLongestLabel = 32;
constexpr std::size_t kLongestUnit = 16;
constexpr std::string_view kEnds = " \t,;|)]\"'";

// Of ASCII or a part of any other sign of UTF-8.
bool IsLetter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || (c & 0x80) != 0;
}

std::size_t Digits(std::string_view text, std::size_t at) {
  const auto end =
      std::find_if_not(text.begin() + static_cast<std::ptrdiff_t>(at), text.end(), IsDigit);
  return static_cast<std::size_t>(end - text.begin());
}

// Bytes of a date, a clock or both that the text begins with, the longest one; 0: none.
std::size_t StampLength(std::string_view text) {
  text = text.substr(0, kLongestStamp);
  const std::string_view word = text.substr(0, text.find_first_of(kEnds));
  const auto parting = std::count_if(
      word.begin(), word.end(), [](char c) { return c == '-' || c == '.' || c == '/'; });
  if (text.find(':') == std::string_view::npos && parting < 2 && Digits(word, 0) < 14) return 0;
  for (std::size_t end = text.size(); end > 0; --end) {
    const bool at_end = end == text.size() || kEnds.find(text[end]) != std::string_view::npos;
    if (at_end && ParseStamp(text.substr(0, end), DateOrder::kDayFirst)) return end;
  }
  return 0;
}

// Bytes of a number that the text begins with; 0: none.
std::size_t NumberLength(std::string_view text) {
  const std::size_t first = !text.empty() && (text[0] == '-' || text[0] == '+') ? 1 : 0;
  const std::size_t whole = Digits(text, first);
  if (whole == first) return 0;
  std::size_t end = whole;
  const auto parts = [&](std::size_t i) {
    return i + 1 < text.size() && (text[i] == '.' || text[i] == ',') && IsDigit(text[i + 1]);
  };
  // Of "3,12.5" the comma parts two numbers.
  if (parts(whole) && !parts(Digits(text, whole + 1))) end = Digits(text, whole + 1);
  if (end + 1 < text.size() && (text[end] == 'e' || text[end] == 'E')) {
    const bool sign = text[end + 1] == '-' || text[end + 1] == '+';
    const std::size_t exponent = Digits(text, end + (sign ? 2 : 1));
    if (exponent > end + (sign ? 2 : 1)) end = exponent;
  }
  return end;
}

// The same with the unit of time behind it, if there is one; 0: it sticks to another word.
std::size_t QuantityLength(std::string_view text) {
  const std::size_t number = NumberLength(text);
  if (number == 0) return 0;
  const std::size_t unit = std::min(text.find_first_not_of(" \t", number), text.size());
  std::size_t end = unit;
  while (end < text.size() && IsLetter(text[end])) ++end;
  if (end > unit && end - unit <= kLongestUnit) {
    const auto known = ParseUnit(text.substr(unit, end - unit));
    if (known && known->dimension == Dimension::kTime) return end;
  }
  return number;
}

// The last words of the text between two values.
std::string_view LabelOf(std::string_view text) {
  constexpr std::string_view kSigns = " \t=:,;|#@\"'";
  while (!text.empty() && (kSigns.find(text.back()) != std::string_view::npos ||
                           text.back() == '(' || text.back() == '[')) {
    text.remove_suffix(1);
  }
  const std::size_t part = text.find_last_of(",;|\t");
  if (part != std::string_view::npos) text.remove_prefix(part + 1);
  while (text.size() > kLongestLabel && text.find(' ') != std::string_view::npos) {
    text.remove_prefix(text.find(' ') + 1);
  }
  while (!text.empty() && (kSigns.find(text.front()) != std::string_view::npos ||
                           text.front() == ')' || text.front() == ']')) {
    text.remove_prefix(1);
  }
  return text.size() > kLongestLabel ? std::string_view() : text;
}

}  // namespace

std::vector<HeadingValue> ReadHeadingLine(std::string_view line) {
  std::vector<HeadingValue> values;
  std::size_t begin = 0;
  for (std::size_t at = 0; at < line.size();) {
    const bool sticks = at > 0 && (IsLetter(line[at - 1]) || IsDigit(line[at - 1]));
    if (sticks || !(IsDigit(line[at]) || line[at] == '-' || line[at] == '+')) {
      ++at;
      continue;
    }
    const std::string_view rest = line.substr(at);
    std::size_t length = StampLength(rest);
    if (length == 0) length = QuantityLength(rest);
    if (length == 0) {
      ++at;
      continue;
    }
    values.push_back({LabelOf(line.substr(begin, at - begin)), Trim(rest.substr(0, length))});
    at += length;
    begin = at;
  }
  return values;
}

}  // namespace ohmglow
