// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "number_rule.h"

#include <cmath>

#include "text.h"

namespace ohmglow {
namespace {

constexpr double kMostShrink = 64;

}  // namespace

bool Obeys(double value, NumberRule rule) {
  switch (rule) {
    case NumberRule::kPositive:
      return value > 0;
    case NumberRule::kFraction:
      return value > 0 && value <= 1;
    case NumberRule::kCelsius:
      return value >= -100 && value <= 1000;
    case NumberRule::kShrink:
      return value >= 1 && value <= kMostShrink && value == std::floor(value);
    case NumberRule::kAny:
      break;
  }
  return true;
}

std::string Describe(NumberRule rule) {
  switch (rule) {
    case NumberRule::kPositive:
      return "must be > 0";
    case NumberRule::kFraction:
      return "must lie in (0, 1]";
    case NumberRule::kCelsius:
      return "must lie in -100 .. 1000 degrees Celsius";
    case NumberRule::kShrink:
      return "must be a whole number, 1 .. " + FormatNumber(kMostShrink);
    case NumberRule::kAny:
      break;
  }
  return "";
}

}  // namespace ohmglow
