// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

namespace ohmglow {

/// A stretch of constant current, on the frames' clock.
struct SupplyLevel {
  double start_s = 0;
  double end_s = 0;
  double amps_a = 0;
  double volts_v = 0;
  /// Standard error of `start_s`, where that was found in the frames.
  std::optional<double> start_sigma_s = {};
  [[nodiscard]] double watts_w() const { return amps_a * volts_v; }
};

}  // namespace ohmglow
