// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "ohmglow/input/case.h"
#include "ohmglow/result.h"

namespace ohmglow {

/// What the supply did, on the frames' clock, as the power of a source whose
/// dissipation follows current^exponent (2: ohmic loss, 1: a junction),
/// relative to its power at the highest current.
class Drive {
 public:
  /// @param clock_offset_s  log time + offset = frame time.
  /// @throws DataError  where the log holds no current step.
  Drive(const SupplyLog& log, double clock_offset_s);

  /// Output of a first-order lag, tau y' = p - y, that follows the drive p
  /// from rest, exactly integrated with p linear between the log's rows.
  /// @param times_s  ascending, at least one.  @param tau_s  > 0.
  [[nodiscard]] std::vector<double> LagResponse(std::span<const double> times_s,
                                                double tau_s,
                                                double exponent) const;

  /// Stretches of constant current that last; zero current included.
  [[nodiscard]] std::vector<SupplyLevel> Levels() const;

  /// Current at a time [A]; constant beyond the log's ends.
  [[nodiscard]] double AmpsAt(double time_s) const;

  [[nodiscard]] double top_amps_a() const { return top_amps_a_; }
  /// End of the last stretch at the highest current.
  [[nodiscard]] double top_end_s() const;

 private:
  std::vector<double> time_s_;
  std::vector<double> volts_v_;
  std::vector<double> amps_a_;
  double top_amps_a_ = 0;
};

}  // namespace ohmglow
