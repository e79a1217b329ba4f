// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "record/frame_meter.h"
#include "record/limits.h"
#include "record/trip.h"

namespace ohmglow::record {

/// What the supply was told, and what it says of itself, at a time [s] of one clock.
struct SupplyReading {
  double time_s = 0;
  double volts_v = 0;
  double amps_a = 0;
  double set_amps_a = 0;  ///< 0: output off.
};

/// After a change the output takes that long to settle (common practice, no source).
inline constexpr double kSettleS = 0.1;

/// Current [A] that may be measured while the output is off: what the meter errs by.
[[nodiscard]] double MostAmpsAtZero(const Limits& limits);

/// Decides from frames whether heating must stop. A value: the caller keeps the clock.
class CameraGuard {
 public:
  /// @param rate_hz  of the camera: below 5 Hz it may be silent for 2.5 frames.
  CameraGuard(const Limits& limits, double rate_hz, double start_s);

  /// @param repeats  the frame equals the one before, bit by bit.
  void OnFrame(double now_s, const FrameHeat& heat, bool repeats);
  void OnEnd(double now_s);
  /// The rate is known now: measured, not as it was told.
  void OnRate(double rate_hz);
  /// The first thing wrong; stays.
  [[nodiscard]] std::optional<Trip> Check(double now_s) const;
  [[nodiscard]] double silent_s() const { return silent_s_; }

 private:
  Limits limits_;
  double silent_s_;
  double last_s_;
  double fresh_s_;
  bool ended_ = false;
  std::optional<Trip> trip_;
};

/// Decides from the supply's answers whether it must be switched off.
class SupplyGuard {
 public:
  explicit SupplyGuard(const Limits& limits) : limits_(limits) {}

  /// The supply was told a current; 0: output off. The first call starts the time.
  void OnLevel(double now_s, double amps_a, double volts_v);
  void OnReading(const SupplyReading& reading);
  /// Found by the caller: what was read back is not what was set, say.
  void OnTrip(const Trip& trip);
  /// A question was not answered in its time, or the connection broke.
  void OnSilence(bool lost);
  [[nodiscard]] std::optional<Trip> Check(double now_s) const;

 private:
  Limits limits_;
  std::optional<double> start_s_;
  double level_s_ = 0;
  double set_a_ = 0;
  double set_v_ = 0;
  bool reached_ = false;       // The set current flowed since the level began.
  double below_since_s_ = -1;  // Half of it is missing since then.
  std::optional<Trip> trip_;
};

}  // namespace ohmglow::record
