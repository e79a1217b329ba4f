// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/guard.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::record {
namespace {

constexpr double kZeroCelsius = 273.15;
constexpr double kSilentS = 0.5;
constexpr double kSilentFrames = 2.5;  // Of a slow camera.
// A shutter that closes for its correction repeats frames for up to this long.
constexpr double kFrozenS = 1.5;
// Of a reading: the meter of a bench supply errs by a few counts and some per mille.
constexpr double kMeterA = 0.02;
constexpr double kMeterV = 0.05;
constexpr double kMeterShare = 0.03;
constexpr double kOpenedS = 0.06;  // Two readings.

double SilentFor(double rate_hz) { return std::max(kSilentS, kSilentFrames / rate_hz); }

}  // namespace

double MostAmpsAtZero(const Limits& limits) {
  return kMeterA + kMeterShare * 0.1 * limits.max_amps_a;
}

CameraGuard::CameraGuard(const Limits& limits, double rate_hz, double start_s)
    : limits_(limits), silent_s_(SilentFor(rate_hz)), last_s_(start_s), fresh_s_(start_s) {}

void CameraGuard::OnFrame(double now_s, const FrameHeat& heat, bool repeats) {
  last_s_ = now_s;
  if (!repeats) fresh_s_ = now_s;
  if (trip_) return;
  const double hottest_c = heat.hottest_k - kZeroCelsius;
  if (std::isinf(hottest_c)) {
    trip_ = Trip{Cause::kBeyondRange};
  } else if (hottest_c > limits_.max_temperature_c) {
    trip_ = Trip{Cause::kTemperature, hottest_c, limits_.max_temperature_c};
  } else if (heat.rise_k > limits_.max_rise_k) {
    trip_ = Trip{Cause::kRise, heat.rise_k, limits_.max_rise_k};
  }
}

void CameraGuard::OnEnd(double) { ended_ = true; }

void CameraGuard::OnRate(double rate_hz) { silent_s_ = SilentFor(rate_hz); }

std::optional<Trip> CameraGuard::Check(double now_s) const {
  if (trip_) return trip_;
  if (ended_) return Trip{Cause::kCameraEnded};
  const double silent_s = now_s - last_s_;
  if (silent_s > silent_s_) return Trip{Cause::kCameraSilent, silent_s, silent_s_};
  const double frozen_s = now_s - fresh_s_;
  const double most_frozen_s = std::max(kFrozenS, silent_s_);
  if (frozen_s > most_frozen_s) return Trip{Cause::kCameraFrozen, frozen_s, most_frozen_s};
  return std::nullopt;
}

void SupplyGuard::OnTrip(const Trip& trip) {
  if (!trip_) trip_ = trip;
}

void SupplyGuard::OnLevel(double now_s, double amps_a, double volts_v) {
  // So that what is no number or below zero is refused as well.
  const bool allowed =
      amps_a >= 0 && amps_a <= limits_.max_amps_a && volts_v >= 0 && volts_v <= limits_.max_volts_v;
  if (!allowed) return OnTrip({Cause::kTooMuchAsked, amps_a, volts_v});
  if (!start_s_) start_s_ = now_s;
  level_s_ = now_s;
  set_a_ = amps_a;
  set_v_ = volts_v;
  reached_ = false;
  below_since_s_ = -1;
}

void SupplyGuard::OnReading(const SupplyReading& reading) {
  const double amps = reading.amps_a;
  if (!std::isfinite(reading.volts_v) || !std::isfinite(amps))
    return OnTrip(Trip{Cause::kNoNumber});
  const double most_v = limits_.max_volts_v * (1 + kMeterShare) + kMeterV;
  if (std::abs(reading.volts_v) > most_v) {
    return OnTrip({Cause::kVolts, reading.volts_v, limits_.max_volts_v});
  }
  if (reading.time_s - level_s_ < kSettleS) return;
  const double meter_a = kMeterA + kMeterShare * std::max(set_a_, 0.1 * limits_.max_amps_a);
  if (set_a_ == 0) {
    if (std::abs(amps) > meter_a) OnTrip({Cause::kAmpsAtZero, amps, meter_a});
    return;
  }
  if (amps > set_a_ + meter_a) return OnTrip({Cause::kAmps, amps, set_a_});
  if (amps < -meter_a) return OnTrip({Cause::kAmpsBackwards, amps, set_a_});
  if (amps > 0.9 * set_a_) reached_ = true;
  if (!reached_ || amps > 0.5 * set_a_) {
    below_since_s_ = -1;
    return;
  }
  if (below_since_s_ < 0) below_since_s_ = reading.time_s;
  if (reading.time_s - below_since_s_ >= kOpenedS) OnTrip({Cause::kPathOpened, amps, set_a_});
}

void SupplyGuard::OnSilence(bool lost) {
  OnTrip(Trip{lost ? Cause::kSupplyLost : Cause::kSupplySilent});
}

std::optional<Trip> SupplyGuard::Check(double now_s) const {
  if (trip_) return trip_;
  const double passed_s = now_s - start_s_.value_or(now_s);
  if (passed_s > limits_.max_seconds_s) return Trip{Cause::kTime, passed_s, limits_.max_seconds_s};
  return std::nullopt;
}

}  // namespace ohmglow::record
