// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "ohmglow/heat/supply_level.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

struct TimeSpan {
  double first_s = 0;
  double last_s = 0;
};

/// What the supply did, on the frames' clock, as the power of a source whose
/// dissipation follows current^exponent (2: ohmic loss, 1: a junction),
/// relative to its power at the highest current.
class Drive {
 public:
  /// @param clock_offset_s  log time + offset = frame time.
  /// @param frames  when frames were taken: what the supply did later is left
  ///                out, what it did before counts as history alone.
  /// @throws DataError  where the log holds no current step, or none of them
  ///                    while frames were taken.
  Drive(const SupplyLog& log, double clock_offset_s, std::optional<TimeSpan> frames = std::nullopt);

  /// Output of a first-order lag, tau y' = p - y, that follows the drive p
  /// from rest, exactly integrated with p linear between the log's rows; where
  /// the log leaves a gap, the current is held until the next row.
  /// @param times_s  ascending, at least one.  @param tau_s  > 0.
  [[nodiscard]] std::vector<double> LagResponse(std::span<const double> times_s,
                                                double tau_s,
                                                double exponent) const;

  /// The same for many lags and exponents at once, which share the exponentials.
  /// @param take  called with the place of each time and its responses: lags x exponents.
  void LagResponses(std::span<const double> times_s,
                    const Eigen::VectorXd& lags_s,
                    std::span<const double> exponents,
                    const std::function<void(std::size_t, const Eigen::ArrayXXd&)>& take) const;

  /// Stretches of constant current that last, zero current included; of those
  /// over before the first frame none.
  [[nodiscard]] std::vector<SupplyLevel> Levels() const;

  /// Current at a time [A]; constant beyond the log's ends.
  [[nodiscard]] double AmpsAt(double time_s) const;

  /// Highest current that lasts while frames are taken.
  [[nodiscard]] double top_amps_a() const { return top_amps_a_; }
  /// End of the last stretch at the highest current.
  [[nodiscard]] double top_end_s() const;

 private:
  [[nodiscard]] bool HasStep(double top_a) const;
  void HoldInGaps(double row_s);
  void EndAt(double time_s);
  // Median, weighted by time, of the current in a window that begins with a row.
  [[nodiscard]] double MedianFrom(std::size_t row, double window_s) const;
  [[nodiscard]] double LastingTop(double row_s) const;
  // Relative power in each row of the log: exponents x rows.
  [[nodiscard]] Eigen::ArrayXXd PowersOf(std::span<const double> exponents) const;

  double first_frame_s_ = -1e300;
  std::vector<double> time_s_;
  std::vector<double> volts_v_;
  std::vector<double> amps_a_;
  double top_amps_a_ = 0;
};

}  // namespace ohmglow
