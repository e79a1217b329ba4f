// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/color_scale.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/core.hpp>

namespace ohmglow::internal {
namespace {

// Lightness at the three ends; the darkest values keep enough light to show blue.
constexpr double kLowL = 12;
constexpr double kZeroL = 30;
constexpr double kHighL = 96;
// Up to this share of the high end the scale is nearly linear.
constexpr double kLinearShare = 0.1;

double Encoded(double v) {
  return v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
}

// CIE L*a*b* (D65) inverse companding.
double InverseF(double t) {
  return t > 6.0 / 29 ? t * t * t : 3 * (6.0 / 29) * (6.0 / 29) * (t - 4.0 / 29);
}

struct Rgb {
  double red, green, blue;
  [[nodiscard]] bool InGamut() const {
    return std::min({red, green, blue}) >= -1e-9 && std::max({red, green, blue}) <= 1 + 1e-9;
  }
};

// L*, chroma and hue angle to linear sRGB. Matrix: IEC 61966-2-1.
Rgb FromLch(double lightness, double chroma, double hue_deg) {
  const double a = chroma * std::cos(hue_deg * CV_PI / 180);
  const double b = chroma * std::sin(hue_deg * CV_PI / 180);
  const double fy = (lightness + 16) / 116;
  const double x = 0.95047 * InverseF(fy + a / 500);
  const double y = InverseF(fy);
  const double z = 1.08883 * InverseF(fy - b / 200);
  return {3.2404542 * x - 1.5371385 * y - 0.4985314 * z,
          -0.9692660 * x + 1.8760108 * y + 0.0415560 * z,
          0.0556434 * x - 0.2040259 * y + 1.0572252 * z};
}

// The wanted hue and lightness, with as much of the chroma as sRGB can show.
Color FromLchClipped(double lightness, double chroma, double hue_deg) {
  double fits = 0;
  double too_much = chroma;
  if (FromLch(lightness, chroma, hue_deg).InGamut()) fits = chroma;
  for (int i = 0; i < 24 && fits < chroma; ++i) {
    const double half = 0.5 * (fits + too_much);
    (FromLch(lightness, half, hue_deg).InGamut() ? fits : too_much) = half;
  }
  const Rgb rgb = FromLch(lightness, fits, hue_deg);
  const auto encode = [](double v) { return Encoded(std::clamp(v, 0.0, 1.0)); };
  return {encode(rgb.red), encode(rgb.green), encode(rgb.blue), 1};
}

double Mix(double a, double b, double t) { return a + (b - a) * t; }

}  // namespace

ColorScale::ColorScale(double low, double high)
    : low_(std::min(low, 0.0)), high_(std::max(high, 1e-12)), positive_{}, negative_{} {
  for (std::size_t i = 0; i < positive_.size(); ++i) {
    const double t = static_cast<double>(i) / static_cast<double>(positive_.size() - 1);
    // Colour sets in early, so that weak warmth parts from the grey of zero.
    const double chroma = 62 * std::pow(t, 0.6) * (1 - 0.55 * t * t * t);
    positive_[i] = FromLchClipped(Mix(kZeroL, kHighL, t), chroma, Mix(5, 100, t));
    negative_[i] = FromLchClipped(Mix(kZeroL, kLowL, t), 48 * std::pow(t, 0.6), Mix(262, 285, t));
  }
}

double ColorScale::Stretched(double value) const {
  return std::asinh(value / (kLinearShare * high_));
}

double ColorScale::Position(double value) const {
  const double start = Stretched(low_);
  return (Stretched(value) - start) / (Stretched(high_) - start);
}

double ColorScale::ValueAt(double position) const {
  const double start = Stretched(low_);
  const double at = start + position * (Stretched(high_) - start);
  return kLinearShare * high_ * std::sinh(at);
}

Color ColorScale::At(double value) const {
  if (!std::isfinite(value)) return {0.5, 0.5, 0.5, 1};
  const double end = value >= 0 ? high_ : low_;
  const double share = end == 0 ? 0 : Stretched(value) / Stretched(end);
  const auto last = static_cast<double>(positive_.size() - 1);
  const auto index = static_cast<std::size_t>(std::lround(std::clamp(share, 0.0, 1.0) * last));
  return value >= 0 ? positive_[index] : negative_[index];
}

std::vector<ColorScale::Step> ColorScale::Steps() const {
  const std::size_t last = positive_.size() - 1;
  // From here on a value is nearer to entry i than to the one before.
  const auto from = [&](std::size_t i, double end) {
    const double share = (static_cast<double>(i) - 0.5) / static_cast<double>(last);
    return kLinearShare * high_ * std::sinh(share * Stretched(end));
  };
  std::vector<Step> steps;
  if (low_ < 0) {
    steps.push_back({-std::numeric_limits<double>::infinity(), negative_[last]});
    for (std::size_t i = last; i-- > 0;) steps.push_back({from(i + 1, low_), negative_[i]});
  } else {
    steps.push_back({-std::numeric_limits<double>::infinity(), negative_[0]});
  }
  for (std::size_t i = 0; i <= last; ++i)
    steps.push_back({i == 0 ? 0 : from(i, high_), positive_[i]});
  return steps;
}

std::vector<double> ColorScale::Ticks(double least_gap) const {
  std::vector<double> ticks{0};
  const auto add = [&](double tick) {
    const bool clear = std::all_of(ticks.begin(), ticks.end(), [&](double other) {
      return std::abs(Position(tick) - Position(other)) >= least_gap;
    });
    if (clear && tick <= high_ && tick >= low_) ticks.push_back(tick);
  };
  // From the strong end down, so that the largest round value always stands.
  const int top = static_cast<int>(std::floor(std::log10(std::max(high_, -low_))));
  for (int decade = top; decade >= top - 3; --decade) {
    for (const int digit : {5, 2, 1}) {
      const double power = std::pow(10.0, std::abs(decade));
      const double tick = decade < 0 ? digit / power : digit * power;
      add(tick);
      add(-tick);
    }
  }
  std::sort(ticks.begin(), ticks.end());
  return ticks;
}

}  // namespace ohmglow::internal
