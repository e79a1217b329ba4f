// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <numbers>
#include <optional>
#include <vector>

#include "ohmglow/input/signal_curve.h"

namespace ohmglow {

/// Constants of radiation. h, k and c are exact: SI Brochure, 9th ed. (BIPM
/// 2019), Table 1; the others follow from them.
inline constexpr double kPlanckJS = 6.62607015e-34;
inline constexpr double kBoltzmannJPerK = 1.380649e-23;
inline constexpr double kLightMPerS = 299792458;
inline constexpr double kFirstRadiationWM2 =
    2 * std::numbers::pi * kPlanckJS * kLightMPerS * kLightMPerS;
inline constexpr double kSecondRadiationMK = kPlanckJS * kLightMPerS / kBoltzmannJPerK;
/// 2 pi^5 k^4 / (15 h^3 c^2) [W/(m2 K4)].
inline constexpr double kStefanBoltzmannWPerM2K4 = 5.670374419184429e-8;
inline constexpr double kZeroCelsiusK = 273.15;

/// The band that uncooled thermal cameras see [um].
inline constexpr double kBandLowUm = 8;
inline constexpr double kBandHighUm = 14;

/// Share of a blackbody's exitance below a wavelength.
/// @param wavelength_temperature_um_k  wavelength x temperature [um K], > 0.
/// Method: Planck's law integrated term by term,
/// F = 15/pi^4 sum_n exp(-n z) (z^3/n + 3 z^2/n^2 + 6 z/n^3 + 6/n^4), z = c2/(wavelength T).
[[nodiscard]] double BlackbodyFraction(double wavelength_temperature_um_k);

/// Exitance W of a blackbody in 8 .. 14 um [W/m2]. @param temperature_k  > 0.
[[nodiscard]] double BandExitance(double temperature_k);

/// dW/dT of `BandExitance` [W/(m2 K)].
[[nodiscard]] double BandExitanceSlope(double temperature_k);

struct SurfaceOptions {
  double emissivity = 0.93;     ///< In (0, 1].
  double reflected_k = 296.15;  ///< Reflected apparent temperature; 100 .. 2000 K.
  /// Share of the radiation that a window between board and camera lets through,
  /// and the temperature of what takes the place of the rest (the window's own
  /// glow and the room that it mirrors, about equally warm).
  double window_transmission = 1;  ///< In (0, 1]; 1: no window.
  double window_k = 296.15;        ///< 100 .. 2000 K.
  /// What the camera makes of radiation; unset: the exitance in 8 .. 14 um.
  std::optional<SignalCurve> band = {};

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Between what a camera set to emissivity 1 shows (apparent temperature) and
/// the temperature of the surface, by the measurement equation with clear air,
///   W(apparent) = t (emissivity W(object) + (1 - emissivity) W(reflected))
///                 + (1 - t) W(window),
/// t the window's transmission, W the band exitance above or the camera's own
/// curve, tabulated once in steps of 1 K; the error of table and interpolation is
/// below 0.1 mK.
/// Source: Usamentiaga et al., Sensors 14 (2014) 12305-12348.
class ObjectTemperature {
 public:
  /// Temperatures outside give NaN [K].
  static constexpr double kLowestK = 100;
  static constexpr double kHighestK = 2000;

  /// @throws OptionError
  explicit ObjectTemperature(const SurfaceOptions& options);

  /// @return object temperature [K]; NaN out of range, for NaN, and where the
  ///         reflection alone would be more than what was seen.
  [[nodiscard]] double FromApparent(double apparent_k) const;
  /// @return apparent temperature [K]; NaN out of range.
  [[nodiscard]] double ToApparent(double object_k) const;
  /// As `FromApparent`, for pixels: a direct table between 200 and 600 K.
  [[nodiscard]] float FromApparentFast(float apparent_k) const;

 private:
  /// One interval end of a cubic Hermite table.
  struct Node {
    double value = 0;
    double slope = 0;
  };
  [[nodiscard]] double Exitance(double temperature_k) const;
  [[nodiscard]] double TemperatureOf(double exitance) const;
  void FillDirectTable(const SurfaceOptions& options);

  double gain_;                 // Of W(object): emissivity and window.
  double offset_ = 0;           // All else that is seen.
  std::vector<Node> exitance_;  // W and dW/dT, every kelvin.
  std::vector<double> log_;     // ln W, every kelvin.
  std::vector<Node> direct_;    // Object temperature, every 1/8 K of the apparent one.
};

}  // namespace ohmglow
