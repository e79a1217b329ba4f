// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/signal_curve.h"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>

#include "expect_error.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/radiometry.h"

namespace ohmglow {
namespace {

using testing::ExpectError;

constexpr double kColdK = 233.15;
constexpr double kHotK = 473.15;

// The curve nearest to the exitance of the band, in kelvin, by Gauss-Newton.
SignalCurve FitToBand() {
  SignalCurve c{2e4, 10, 100, 0};
  for (int n = 0; n < 40; ++n) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    for (double t = kColdK; t <= kHotK; t += 5) {
      const double slope = c.RadianceSlope(t);
      const auto by = [&](const SignalCurve& other, double step) {
        return (other.Radiance(t) - c.Radiance(t)) / (slope * step);
      };
      const Eigen::Vector3d j(by({c.gain * 1.000001, c.wavelength_um, c.shift_um_k, 0}, 1e-6),
                              by({c.gain, c.wavelength_um + 1e-5, c.shift_um_k, 0}, 1e-5),
                              by({c.gain, c.wavelength_um, c.shift_um_k + 1e-3, 0}, 1e-3));
      normal += j * j.transpose();
      right += j * ((BandExitance(t) - c.Radiance(t)) / slope);
    }
    const Eigen::Vector3d step = normal.ldlt().solve(right);
    c.gain *= std::exp(step[0]);
    c.wavelength_um += step[1];
    c.shift_um_k += step[2];
  }
  return c;
}

// Planck's law at one wavelength, its constant of the SI Brochure, 9th ed. (BIPM
// 2019): c2 = 14387.7688 um K, so at 10 um and 300 K exp(c2 / (10 x 300)) - 1 =
// exp(4.7959229) - 1 = 120.017.
TEST(SignalCurve, IsPlancksLawAtOneWavelengthWithoutAShift) {
  const SignalCurve curve{1000, 10, 0, 0};
  EXPECT_NEAR(1000 / curve.Radiance(300), std::exp(4.7959229) - 1, 1e-4);
  // Wien's displacement: exitance per wavelength, lambda^-5 / (exp(c2/(lambda T)) - 1),
  // is largest at 2897.771955 um K (CODATA 2018).
  const auto per_um = [](double um) {
    return SignalCurve{1, um, 0, 0}.Radiance(300) / std::pow(um, 5);
  };
  EXPECT_GT(per_um(9.65924), per_um(9.60));
  EXPECT_GT(per_um(9.65924), per_um(9.72));
}

// A flat band from 8 to 14 um has the mean wavelength l = 11 um and the spread
// s = 6 / sqrt(12) um; then wavelength = l (1 - 6 s^2 / l^2) = 9.364 um and shift =
// c2 s^2 / (2 l^2) = 178.4 um K. Source (from memory): Saunders, White, Metrologia
// 40 (2003) 195-203; the same numbers in MSL Technical Guide 22.
TEST(SignalCurve, HasThePublishedParametersForABandOf8To14Um) {
  const SignalCurve fit = FitToBand();
  const double spread2 = 36.0 / 12;
  EXPECT_NEAR(fit.wavelength_um, 11 * (1 - 6 * spread2 / 121), 0.05);
  EXPECT_NEAR(fit.shift_um_k, kSecondRadiationMK * 1e6 * spread2 / (2 * 121), 3);
}

// Planck's law integrated over the band, against the curve: what three numbers
// cannot follow is below 10 mK from -40 to 200 degrees Celsius.
TEST(SignalCurve, FollowsPlancksIntegralOfTheBand) {
  const SignalCurve fit = FitToBand();
  double worst_k = 0;
  for (double t = kColdK; t <= kHotK; t += 1) {
    worst_k = std::max(worst_k, std::abs(fit.Temperature(BandExitance(t)) - t));
  }
  EXPECT_LT(worst_k, 0.010);
  EXPECT_GT(worst_k, 0.001);  // The fit is no copy of the integral.
}

TEST(SignalCurve, TurnsRoundAndKnowsItsSlope) {
  const SignalCurve curve{16000, 9.4, 178, 1200};
  for (double t = 100; t <= 2000; t += 9.7) {
    EXPECT_NEAR(curve.Temperature(curve.dark + curve.Radiance(t)), t, 1e-6 * t);
    const double difference = (curve.Radiance(t + 0.01) - curve.Radiance(t - 0.01)) / 0.02;
    EXPECT_NEAR(curve.RadianceSlope(t) / difference, 1, 1e-6) << t;
  }
}

TEST(SignalCurve, HasNoTemperatureBeyondItsEnds) {
  const SignalCurve curve{16000, 9.4, 178, 1200};
  EXPECT_TRUE(std::isnan(curve.Temperature(1200)));
  EXPECT_TRUE(std::isnan(curve.Temperature(-5)));
  EXPECT_TRUE(std::isnan(curve.Temperature(1e9)));
  EXPECT_TRUE(std::isnan(curve.Temperature(std::nan(""))));
}

TEST(SignalCurve, RefusesWhatHasNoInverse) {
  const auto refuse = [](SignalCurve curve, const std::string& what) {
    ExpectError<OptionError>([&] { curve.Validate(); }, {what});
  };
  refuse({0, 10, 0, 0}, "gain = 0; must be > 0");
  refuse({-3, 10, 0, 0}, "gain = -3; must be > 0");
  refuse({1, 0, 0, 0}, "wavelength_um = 0; must be > 0");
  refuse({1, 10, -1000, 0}, "shift_um_k = -1000; must be above -1000");
  refuse({1, 10, 0, INFINITY}, "dark = inf; must be finite");
  refuse({1, 1e-3, 0, 0}, "no signal at 100 K");
}

// The measurement equation with a window (Usamentiaga et al., Sensors 14 (2014)
// 12305-12348, with the window in the atmosphere's place), by the exact integral.
TEST(ObjectTemperature, SeesThroughAWindow) {
  const ObjectTemperature seen(
      {.emissivity = 0.9, .reflected_k = 296, .window_transmission = 0.8, .window_k = 301});
  for (const double object_k : {280.0, 300.0, 350.0}) {
    const double exitance =
        0.8 * (0.9 * BandExitance(object_k) + 0.1 * BandExitance(296)) + 0.2 * BandExitance(301);
    const double apparent_k = seen.ToApparent(object_k);
    EXPECT_NEAR(BandExitance(apparent_k) / exitance, 1, 1e-6);
    EXPECT_NEAR(seen.FromApparent(apparent_k), object_k, 1e-4);
    EXPECT_NEAR(
        static_cast<double>(seen.FromApparentFast(static_cast<float>(apparent_k))), object_k, 1e-3);
  }
}

// What is as warm as all around it looks so whatever its emissivity and window.
TEST(ObjectTemperature, LeavesOneTemperatureAloneBehindAWindow) {
  const ObjectTemperature seen(
      {.emissivity = 0.3, .reflected_k = 295, .window_transmission = 0.5, .window_k = 295});
  EXPECT_NEAR(seen.FromApparent(295), 295, 1e-4);
}

// With the camera's own curve the equation holds in its counts.
TEST(ObjectTemperature, UsesTheCamerasOwnCurve) {
  const SignalCurve curve{16000, 4.6, 30, 0};
  const ObjectTemperature seen({.emissivity = 0.7, .reflected_k = 293, .band = curve});
  const double counts = 0.7 * curve.Radiance(340) + 0.3 * curve.Radiance(293);
  EXPECT_NEAR(seen.FromApparent(curve.Temperature(counts)), 340, 1e-4);
  // The band of 8 to 14 um would say something else: this camera sees another.
  const ObjectTemperature other({.emissivity = 0.7, .reflected_k = 293});
  EXPECT_GT(std::abs(other.FromApparent(curve.Temperature(counts)) - 340), 1);
}

TEST(SurfaceOptions, NameTheWindowAndTheCurve) {
  ExpectError<OptionError>([] { SurfaceOptions{.window_transmission = 0}.Validate(); },
                           {"window_transmission = 0", "(0, 1]"});
  ExpectError<OptionError>([] { SurfaceOptions{.window_k = 20}.Validate(); },
                           {"window_k = 20", "100 .. 2000 K"});
  ExpectError<OptionError>(
      [] {
        SurfaceOptions{.band = SignalCurve{0, 9, 0, 0}}.Validate();
      },
      {"gain = 0"});
}

}  // namespace
}  // namespace ohmglow
