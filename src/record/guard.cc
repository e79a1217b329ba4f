// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/guard.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

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

std::string Text(const char* format, double a, double b) {
  char text[220];
  std::snprintf(text, sizeof text, format, a, b);
  return text;
}

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
    trip_ = {Cause::kTemperature,
             "A place in view is beyond the camera's range, or has no value any more."};
  } else if (hottest_c > limits_.max_temperature_c) {
    trip_ = {Cause::kTemperature,
             Text("A place in view reached %.1f degrees Celsius (limit %.0f).",
                  hottest_c,
                  limits_.max_temperature_c)};
  } else if (heat.rise_k > limits_.max_rise_k) {
    trip_ = {
        Cause::kRise,
        Text("A place in view warmed by %.1f K (limit %.0f K).", heat.rise_k, limits_.max_rise_k)};
  }
}

void CameraGuard::OnEnd(double) { ended_ = true; }

void CameraGuard::OnRate(double rate_hz) { silent_s_ = SilentFor(rate_hz); }

std::optional<Trip> CameraGuard::Check(double now_s) const {
  if (trip_) return trip_;
  if (ended_) return Trip{Cause::kCameraEnded, "The stream of frames has ended."};
  if (now_s - last_s_ > silent_s_) {
    return Trip{
        Cause::kCameraSilent,
        Text("The camera has been silent for %.2f s (limit %.2f s).", now_s - last_s_, silent_s_)};
  }
  if (now_s - fresh_s_ > std::max(kFrozenS, silent_s_)) {
    return Trip{Cause::kCameraFrozen,
                Text("The camera has shown one and the same frame for %.1f s (limit %.1f s).",
                     now_s - fresh_s_,
                     std::max(kFrozenS, silent_s_))};
  }
  return std::nullopt;
}

void SupplyGuard::Stop(Cause cause, const std::string& text) {
  if (!trip_) trip_ = {cause, text};
}

void SupplyGuard::OnLevel(double now_s, double amps_a, double volts_v) {
  // So that what is no number or below zero is refused as well.
  const bool allowed =
      amps_a >= 0 && amps_a <= limits_.max_amps_a && volts_v >= 0 && volts_v <= limits_.max_volts_v;
  if (!allowed) {
    return Stop(Cause::kAmps,
                Text("More was asked for than allowed: %.3g A at %.3g V.", amps_a, volts_v));
  }
  if (!start_s_) start_s_ = now_s;
  level_s_ = now_s;
  set_a_ = amps_a;
  set_v_ = volts_v;
  reached_ = false;
  below_since_s_ = -1;
}

void SupplyGuard::OnReading(const SupplyReading& reading) {
  if (!std::isfinite(reading.volts_v) || !std::isfinite(reading.amps_a)) {
    return Stop(Cause::kSupplySilent, "The supply answers no number.");
  }
  const double most_v = limits_.max_volts_v * (1 + kMeterShare) + kMeterV;
  if (std::abs(reading.volts_v) > most_v) {
    return Stop(
        Cause::kVolts,
        Text("The supply gives %.3g V (limit %.3g V).", reading.volts_v, limits_.max_volts_v));
  }
  if (reading.time_s - level_s_ < kSettleS) return;
  const double meter_a = kMeterA + kMeterShare * std::max(set_a_, 0.1 * limits_.max_amps_a);
  if (set_a_ == 0 && std::abs(reading.amps_a) > meter_a) {
    return Stop(
        Cause::kAmpsAtZero,
        Text("%.3g A flow although the output is off (limit %.2g A).", reading.amps_a, meter_a));
  }
  if (set_a_ > 0 && reading.amps_a > set_a_ + meter_a) {
    return Stop(Cause::kAmps,
                Text("The supply gives %.3g A, but %.3g A were set.", reading.amps_a, set_a_));
  }
  if (set_a_ > 0 && reading.amps_a < -meter_a) {
    return Stop(Cause::kAmps,
                Text("The supply gives %.3g A, below zero, but %.3g A were set: plus and minus are "
                     "exchanged, or something feeds back.",
                     reading.amps_a,
                     set_a_));
  }
  if (set_a_ == 0) return;
  if (reading.amps_a > 0.9 * set_a_) reached_ = true;
  if (!reached_ || reading.amps_a > 0.5 * set_a_) {
    below_since_s_ = -1;
    return;
  }
  if (below_since_s_ < 0) below_since_s_ = reading.time_s;
  if (reading.time_s - below_since_s_ >= kOpenedS) {
    Stop(Cause::kPathOpened,
         Text("The current fell from %.3g A to %.3g A by itself: something burnt through, or a "
              "lead came off.",
              set_a_,
              reading.amps_a));
  }
}

void SupplyGuard::OnRefused(const std::string& what) { Stop(Cause::kNotObeyed, what); }

void SupplyGuard::OnSilence(bool lost) {
  if (lost) return Stop(Cause::kSupplyLost, "The connection to the supply broke.");
  Stop(Cause::kSupplySilent, "The supply does not answer.");
}

std::optional<Trip> SupplyGuard::Check(double now_s) const {
  if (trip_) return trip_;
  if (start_s_ && now_s - *start_s_ > limits_.max_seconds_s) {
    return Trip{Cause::kTime,
                Text("%.0f s have passed since the recording began (limit %.0f s).",
                     now_s - *start_s_,
                     limits_.max_seconds_s)};
  }
  return std::nullopt;
}

}  // namespace ohmglow::record
