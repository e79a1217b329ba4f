// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/axis.h"

#include <algorithm>
#include <cmath>

#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr double kRoom = 0.08;  // Of the range, beyond the values.

}  // namespace

double RoundStep(double span, double most) {
  const double least = span / most;
  const double decade = std::pow(10.0, std::floor(std::log10(least)));
  for (const double step : {1.0, 2.0, 5.0}) {
    if (step * decade >= least * (1 - 1e-9)) return step * decade;
  }
  return 10 * decade;
}

std::vector<double> AxisRange::Ticks(double most) const {
  const double step = RoundStep(high - low, most);
  std::vector<double> ticks;
  // Counted in whole steps: sums of a step drift off round values.
  for (double n = std::ceil(low / step - 1e-9); n * step <= high + 1e-9 * step; ++n) {
    ticks.push_back(n == 0 ? 0 : n * step);
  }
  return ticks;
}

AxisRange RangeFromZero(std::span<const double> values, double least_high) {
  AxisRange range{0, 0};
  for (const double value : values) {
    if (!std::isfinite(value)) continue;
    range.low = std::min(range.low, value);
    range.high = std::max(range.high, value);
  }
  const double room = kRoom * (range.high - range.low);
  if (range.low < 0) range.low -= room;
  range.high = std::max(range.high + room, least_high);
  return range;
}

std::string TickText(double value, const Words& words) {
  if (value == 0) return "0";
  return (value < 0 ? "\u2212" : "") + DigitsText(std::abs(RoundDigits(value, 6)), 6, words);
}

}  // namespace ohmglow::internal
