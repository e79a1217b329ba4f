// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

namespace ohmglow::record {

/// Tells that the computer slept, or that this process stood still: nothing was
/// guarded meanwhile. To be called again and again; a value without clocks.
class Standstill {
 public:
  /// @param most_gap_s  between two calls.
  explicit Standstill(double most_gap_s) : most_gap_s_(most_gap_s) {}

  /// @param steady_s  of a clock that stands while the computer sleeps.
  /// @param boot_s    of one that goes on.
  /// @return  how long nothing was guarded [s]; nothing: all is well.
  [[nodiscard]] std::optional<double> Missed(double steady_s, double boot_s);

 private:
  double most_gap_s_;
  std::optional<double> steady_s_;
  double boot_s_ = 0;
};

/// Seconds of the system's clock that goes on while the computer sleeps.
[[nodiscard]] double BootSeconds();

}  // namespace ohmglow::record
