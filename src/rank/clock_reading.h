// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "ohmglow/result.h"

namespace ohmglow {

/// From this standard error on it is open at which frames a step of some seconds lies.
inline constexpr double kUnsureClockS = 1.5;

/// The time difference of log and frames, as every report tells it.
struct ClockReading {
  double offset_s = 0;            ///< Log time + this = frame time.
  std::optional<double> sigma_s;  ///< Standard error; empty where the offset was given.
};

/// The difference that a result holds; empty where there is none, and where it is not
/// determined: another one fits nearly as well, or its error is too large.
[[nodiscard]] std::optional<ClockReading> ReadClock(const LocateResult& result);

}  // namespace ohmglow
