// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/radiometry.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <sstream>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kMetresPerUm = 1e-6;

// The direct table of pixels.
constexpr double kDirectLowK = 200;
constexpr double kDirectHighK = 600;
constexpr double kDirectPerK = 8;
// Below this the object temperature falls steeply to nothing; no table follows it.
constexpr double kDirectLeastObjectK = 150;

// Cubic Hermite interpolation at share t of an interval of length h.
template <typename Node>
double Hermite(const Node& a, const Node& b, double t, double h) {
  const double s = 1 - t;
  return s * s * ((1 + 2 * t) * a.value + t * h * a.slope) +
         t * t * ((1 + 2 * s) * b.value - s * h * b.slope);
}

// d BlackbodyFraction / d (wavelength T) [1/(um K)]: Planck's law.
double FractionDensity(double x_um_k) {
  const double x = x_um_k * kMetresPerUm;
  return kMetresPerUm * kFirstRadiationWM2 /
         (kStefanBoltzmannWPerM2K4 * std::pow(x, 5) * std::expm1(kSecondRadiationMK / x));
}

double BandSlope(const SurfaceOptions& options, double temperature_k) {
  return options.band ? options.band->RadianceSlope(temperature_k)
                      : BandExitanceSlope(temperature_k);
}

bool InRange(double temperature_k) {
  return temperature_k >= ObjectTemperature::kLowestK &&
         temperature_k <= ObjectTemperature::kHighestK;
}

}  // namespace

double BlackbodyFraction(double wavelength_temperature_um_k) {
  const double z = kSecondRadiationMK / (wavelength_temperature_um_k * kMetresPerUm);
  const double ratio = std::exp(-z);
  double sum = 0;
  double power = ratio;
  for (double n = 1; n < 100000; ++n) {
    const double term = power * (((6 / n + 6 * z) / n + 3 * z * z) / n + z * z * z) / n;
    sum += term;
    if (term <= 1e-17 * sum) break;
    power *= ratio;
  }
  return 15 / std::pow(std::numbers::pi, 4) * sum;
}

double BandExitance(double temperature_k) {
  const double all = kStefanBoltzmannWPerM2K4 * std::pow(temperature_k, 4);
  return all * (BlackbodyFraction(kBandHighUm * temperature_k) -
                BlackbodyFraction(kBandLowUm * temperature_k));
}

double BandExitanceSlope(double temperature_k) {
  const double all = kStefanBoltzmannWPerM2K4 * std::pow(temperature_k, 4);
  return 4 * BandExitance(temperature_k) / temperature_k +
         all * (kBandHighUm * FractionDensity(kBandHighUm * temperature_k) -
                kBandLowUm * FractionDensity(kBandLowUm * temperature_k));
}

void SurfaceOptions::Validate() const {
  std::ostringstream message;
  if (!(emissivity > 0 && emissivity <= 1)) {
    message << "SurfaceOptions::emissivity = " << emissivity << "; must lie in (0, 1]";
  } else if (!InRange(reflected_k)) {
    message << "SurfaceOptions::reflected_k = " << reflected_k << "; must lie in 100 .. 2000 K";
  } else if (!(window_transmission > 0 && window_transmission <= 1)) {
    message << "SurfaceOptions::window_transmission = " << window_transmission
            << "; must lie in (0, 1]";
  } else if (!InRange(window_k)) {
    message << "SurfaceOptions::window_k = " << window_k << "; must lie in 100 .. 2000 K";
  } else {
    if (band) band->Validate();
    return;
  }
  throw OptionError(message.str());
}

ObjectTemperature::ObjectTemperature(const SurfaceOptions& options)
    : gain_(options.window_transmission * options.emissivity) {
  options.Validate();
  for (double t = kLowestK; t <= kHighestK; ++t) {
    exitance_.push_back(
        {options.band ? options.band->Radiance(t) : BandExitance(t), BandSlope(options, t)});
    log_.push_back(std::log(exitance_.back().value));
  }
  offset_ = options.window_transmission * (1 - options.emissivity) * Exitance(options.reflected_k) +
            (1 - options.window_transmission) * Exitance(options.window_k);
  FillDirectTable(options);
}

double ObjectTemperature::FromApparent(double apparent_k) const {
  if (!(apparent_k >= kLowestK && apparent_k <= kHighestK)) return kNan;
  if (gain_ == 1) return apparent_k;
  return TemperatureOf((Exitance(apparent_k) - offset_) / gain_);
}

double ObjectTemperature::ToApparent(double object_k) const {
  if (!(object_k >= kLowestK && object_k <= kHighestK)) return kNan;
  if (gain_ == 1) return object_k;
  return TemperatureOf(gain_ * Exitance(object_k) + offset_);
}

float ObjectTemperature::FromApparentFast(float apparent_k) const {
  const double x = (static_cast<double>(apparent_k) - kDirectLowK) * kDirectPerK;
  if (x >= 0 && x < (kDirectHighK - kDirectLowK) * kDirectPerK) {
    const auto i = static_cast<std::size_t>(x);
    const double value =
        Hermite(direct_[i], direct_[i + 1], x - static_cast<double>(i), 1 / kDirectPerK);
    if (!std::isnan(value)) return static_cast<float>(value);
  }
  return static_cast<float>(FromApparent(static_cast<double>(apparent_k)));
}

double ObjectTemperature::Exitance(double temperature_k) const {
  const double x = temperature_k - kLowestK;
  const auto i = std::min(static_cast<std::size_t>(x), exitance_.size() - 2);
  return Hermite(exitance_[i], exitance_[i + 1], x - static_cast<double>(i), 1);
}

double ObjectTemperature::TemperatureOf(double exitance) const {
  if (!(exitance >= exitance_.front().value && exitance <= exitance_.back().value)) return kNan;
  // ln W against T is smooth everywhere, so the inverse is interpolated in it.
  const double log_w = std::log(exitance);
  const auto above = std::upper_bound(log_.begin() + 1, log_.end() - 1, log_w);
  const auto i = static_cast<std::size_t>(above - log_.begin()) - 1;
  const double h = log_[i + 1] - log_[i];
  const double t = kLowestK + static_cast<double>(i);
  const Node a{t, exitance_[i].value / exitance_[i].slope};
  const Node b{t + 1, exitance_[i + 1].value / exitance_[i + 1].slope};
  return Hermite(a, b, (log_w - log_[i]) / h, h);
}

void ObjectTemperature::FillDirectTable(const SurfaceOptions& options) {
  for (double t = kDirectLowK; t <= kDirectHighK; t += 1 / kDirectPerK) {
    const double object_k = FromApparent(t);
    if (std::isnan(object_k) || object_k < kDirectLeastObjectK) {
      direct_.push_back({kNan, kNan});
    } else {
      direct_.push_back({object_k, BandSlope(options, t) / (gain_ * BandSlope(options, object_k))});
    }
  }
}

}  // namespace ohmglow
