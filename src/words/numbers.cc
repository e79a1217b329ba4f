// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "words/numbers.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

template <typename... Values>
std::string Format(const char* format, Values... values) {
  std::array<char, 400> text{};
  std::snprintf(text.data(), text.size(), format, values...);
  return text.data();
}

// "170", "9.4", "0.350": so many digits, never an exponent, zeros kept.
std::string Plain(double value, int digits) {
  const double unit = value > 0 ? std::pow(10.0, std::floor(std::log10(value)) - digits + 1) : 1;
  const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(unit) + 1e-9)));
  return Format("%.*f", decimals, unit * std::round(value / unit));
}

std::string Short(double value) {
  return value >= 10 ? Format("%ld", std::lround(value)) : Format("%.2g", value);
}

}  // namespace

std::string WithDecimalSign(std::string number, const Words& words) {
  if (const auto point = number.find('.'); point != std::string::npos) {
    number.replace(point, 1, words.Get("number.decimal"));
  }
  return number;
}

std::string FormNumber(double value, std::string_view form, const Words& words) {
  if (form == "ohm") {
    const bool small = value < 1;
    return WithDecimalSign(Short(small ? 1000 * value : value), words) + " " +
           words.Get(small ? "unit.milliohm" : "unit.ohm");
  }
  if (form == "short") return WithDecimalSign(Short(value), words);
  const bool with_sign = form.starts_with('+');
  if (with_sign) form.remove_prefix(1);
  const int digits = form.empty() ? 0 : form.front() - '0';
  if (form.ends_with('g')) return WithDecimalSign(Format("%.*g", digits, value), words);
  if (form.ends_with('d')) return WithDecimalSign(Plain(value, digits), words);
  return WithDecimalSign(Format(with_sign ? "%+.*f" : "%.*f", digits, value), words);
}

std::string DigitsText(double value, int digits, const Words& words) {
  return WithDecimalSign(FormatDigits(value, digits), words);
}

std::string WattsText(double power_w, const Words& words) {
  return WithDecimalSign(FormatPower(power_w), words);
}

std::string KelvinText(double rise_k, const Words& words) {
  return WithDecimalSign(FormatKelvin(rise_k), words);
}

std::string WattsRangeText(double power_w, double low_w, double high_w, const Words& words) {
  const PowerRange range = SplitPowerRange(power_w, low_w, high_w);
  const std::string power = WattsText(power_w, words);
  if (range.low.empty()) return power;
  return words.Fill("watts.range",
                    {{"power", power},
                     {"low", WithDecimalSign(range.low, words)},
                     {"high", WithDecimalSign(range.high, words)}});
}

std::string ListText(const std::vector<std::string>& items,
                     const Words& words,
                     std::string_view separator,
                     std::string_view last) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    const std::string_view key = i + 1 == items.size() ? last : separator;
    text = i == 0 ? items[i] : words.Fill(key, {{"first", text}, {"second", items[i]}});
  }
  return text;
}

}  // namespace ohmglow::internal
