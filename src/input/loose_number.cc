// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "loose_number.h"

#include <algorithm>
#include <string>

#include "text.h"

namespace ohmglow {
namespace {

constexpr std::size_t kLongest = 64;

bool IsAsciiLetter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

// The signs of a number: ASCII minus, no quote, no odd blanks. Empty for what begins as none.
std::string Plain(std::string_view cell) {
  cell = Trim(cell);
  if (cell.empty() || cell.size() > kLongest || IsAsciiLetter(cell[0])) return {};
  const bool ascii = std::all_of(
      cell.begin(), cell.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; });
  // Fold writes small letters, which suits an exponent.
  return ascii ? std::string(cell) : Fold(cell);
}

// Length of the number at the beginning: digits with signs between them, an exponent.
std::size_t NumberLength(std::string_view text) {
  std::size_t at = !text.empty() && (text[0] == '-' || text[0] == '+') ? 1 : 0;
  std::size_t end = 0;
  for (; at < text.size(); ++at) {
    if (IsDigit(text[at])) {
      end = at + 1;
      continue;
    }
    const bool sign = text[at] == '.' || text[at] == ',' || text[at] == '\'' || text[at] == ' ';
    if (!sign) break;
    if ((text[at] == '\'' || text[at] == ' ') &&
        (at + 1 >= text.size() || !IsDigit(text[at + 1]))) {
      break;
    }
  }
  if (end == 0) return 0;
  // "5." is a number too.
  if (end < text.size() && text[end] == '.') ++end;
  if (end + 1 < text.size() && (text[end] == 'e' || text[end] == 'E')) {
    std::size_t power = end + 1;
    if (text[power] == '-' || text[power] == '+') ++power;
    const std::size_t digits = power;
    while (power < text.size() && IsDigit(text[power])) ++power;
    if (power > digits) end = power;
  }
  return end;
}

// Whether every `sign` between begin and end parts groups: one to three digits, then threes.
bool Grouped(std::string_view digits, char sign) {
  std::size_t run = 0;
  bool first = true;
  for (std::size_t i = 0; i <= digits.size(); ++i) {
    if (i < digits.size() && digits[i] != sign) {
      if (!IsDigit(digits[i])) return false;
      ++run;
      continue;
    }
    if (first ? run < 1 || run > 3 : run != 3) return false;
    first = false;
    run = 0;
  }
  return true;
}

struct Shape {
  std::string number;  // Without sign, blanks, apostrophes and exponent.
  std::string exponent;
  bool negative = false;
  std::size_t points = 0, commas = 0;
  bool good = false;
};

Shape ShapeOf(std::string_view text) {
  Shape shape;
  if (text.empty()) return shape;
  shape.negative = text[0] == '-';
  if (text[0] == '-' || text[0] == '+') text.remove_prefix(1);
  const std::size_t e = std::min(text.find_first_of("eE"), text.size());
  shape.exponent = text.substr(e);
  text = text.substr(0, e);
  for (const char sign : {' ', '\''}) {
    const std::string_view whole = text.substr(0, std::min(text.find_first_of(".,"), text.size()));
    if (whole.find(sign) != std::string_view::npos && !Grouped(whole, sign)) return shape;
  }
  for (const char c : text) {
    if (c == ' ' || c == '\'') continue;
    shape.points += c == '.' ? 1 : 0;
    shape.commas += c == ',' ? 1 : 0;
    shape.number += c;
  }
  shape.good = std::any_of(shape.number.begin(), shape.number.end(), IsDigit);
  return shape;
}

DecimalHint HintOf(const Shape& shape) {
  if (!shape.good || shape.points + shape.commas == 0) return DecimalHint::kNone;
  const std::string& n = shape.number;
  if (shape.points > 0 && shape.commas > 0) {
    const bool comma_last = n.rfind(',') > n.rfind('.');
    const char group = comma_last ? '.' : ',';
    const std::size_t decimal = n.rfind(comma_last ? ',' : '.');
    const std::size_t decimals = comma_last ? shape.commas : shape.points;
    if (decimals != 1 || !Grouped(std::string_view(n).substr(0, decimal), group)) {
      return DecimalHint::kNone;
    }
    return comma_last ? DecimalHint::kComma : DecimalHint::kPoint;
  }
  const bool comma = shape.commas > 0;
  const char sign = comma ? ',' : '.';
  if (shape.points + shape.commas > 1) {
    if (!Grouped(n, sign)) return DecimalHint::kNone;
    return comma ? DecimalHint::kPoint : DecimalHint::kComma;
  }
  // No group of three begins with a nought: 0,123 can only be a fraction.
  const bool open = Grouped(n, sign) && n[0] != '0' && shape.exponent.empty();
  if (open) return comma ? DecimalHint::kEitherComma : DecimalHint::kEitherPoint;
  return comma ? DecimalHint::kComma : DecimalHint::kPoint;
}

std::optional<double> ValueOf(const Shape& shape, char decimal) {
  if (!shape.good) return std::nullopt;
  switch (HintOf(shape)) {
    case DecimalHint::kPoint:
      decimal = '.';
      break;
    case DecimalHint::kComma:
      decimal = ',';
      break;
    case DecimalHint::kNone:
      if (shape.points + shape.commas > 0) return std::nullopt;
      break;
    case DecimalHint::kEitherPoint:
    case DecimalHint::kEitherComma:
      break;
  }
  std::string text = shape.negative ? "-" : "";
  for (const char c : shape.number) {
    if (IsDigit(c)) {
      text += c;
    } else if (c == decimal) {
      text += '.';
    }
  }
  return ParseNumber(text + shape.exponent);
}

}  // namespace

DecimalHint HintOf(std::string_view cell) {
  const std::string text = Plain(cell);
  const std::size_t length = NumberLength(text);
  if (length == 0) return DecimalHint::kNone;
  const std::string_view rest = Trim(std::string_view(text).substr(length));
  if (!rest.empty() && !ParseUnit(rest)) return DecimalHint::kNone;
  return HintOf(ShapeOf(std::string_view(text).substr(0, length)));
}

std::optional<double> LooseNumber(std::string_view cell, char decimal) {
  if (decimal == '.') {
    if (const auto quick = ParseNumber(cell)) return quick;  // What most tables hold.
  }
  const std::string text = Plain(cell);
  if (text.empty() || NumberLength(text) != text.size()) return std::nullopt;
  return ValueOf(ShapeOf(text), decimal);
}

std::optional<LooseQuantity> ParseQuantity(std::string_view cell, char decimal) {
  const std::string text = Plain(cell);
  const std::size_t length = NumberLength(text);
  if (length == 0) return std::nullopt;
  const auto value = ValueOf(ShapeOf(std::string_view(text).substr(0, length)), decimal);
  if (!value) return std::nullopt;
  LooseQuantity quantity{*value, std::nullopt};
  const std::string_view rest = Trim(std::string_view(text).substr(length));
  if (rest.empty()) return quantity;
  quantity.unit = ParseUnit(rest);
  if (!quantity.unit) return std::nullopt;
  return quantity;
}

}  // namespace ohmglow
