// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <vector>

#include "ohmglow/words/words.h"

namespace ohmglow::internal {

/// The round step (1, 2, 5 times a power of ten) that parts `span` into at most `most`.
[[nodiscard]] double RoundStep(double span, double most);

/// What an axis of a plot spans; low < high.
struct AxisRange {
  double low = 0;
  double high = 1;

  /// Where a value lies: 0 at `low`, 1 at `high`.
  [[nodiscard]] double Share(double value) const { return (value - low) / (high - low); }
  /// Round values within the range, rising, with at most `most` steps between its ends.
  [[nodiscard]] std::vector<double> Ticks(double most) const;
};

/// Range of values of which zero is one, with room above the highest, and below
/// the lowest where that is negative. Values that are not finite do not count.
/// @param least_high  the range reaches at least so far.
[[nodiscard]] AxisRange RangeFromZero(std::span<const double> values, double least_high);

/// A number at a tick: enough digits, a true minus sign, "0" for zero.
[[nodiscard]] std::string TickText(double value, const Words& words = Words::Report());

}  // namespace ohmglow::internal
