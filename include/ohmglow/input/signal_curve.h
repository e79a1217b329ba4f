// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace ohmglow {

/// What a radiation detector reports of a blackbody, the curve of Sakuma and
/// Hattori in its Planckian form:
///   signal(T) = dark + gain / (exp(c2 / (wavelength T + shift)) - 1),
/// c2 the second radiation constant. With shift = 0 it is Planck's law at one
/// wavelength; the shift stands for the width of the band.
/// Sources (from memory): Sakuma, Hattori, in: Temperature, Its Measurement and
/// Control in Science and Industry 5 (1982) 421-427; Saunders, White,
/// Metrologia 40 (2003) 195-203.
struct SignalCurve {
  /// Temperatures outside have no signal [K].
  static constexpr double kLowestK = 100;
  static constexpr double kHighestK = 2000;

  double gain = 1;            ///< Counts; > 0.
  double wavelength_um = 10;  ///< > 0.
  double shift_um_k = 0;      ///< wavelength T + shift must stay above 0 from 100 K on.
  double dark = 0;            ///< Counts at the coldest.

  /// @throws OptionError naming field, value and rule: where the curve does not
  ///         rise with temperature, no temperature follows from a count.
  void Validate() const;
  /// Without the dark part. @param temperature_k  kLowestK .. kHighestK.
  [[nodiscard]] double Radiance(double temperature_k) const;
  /// Its derivative by the temperature [counts/K].
  [[nodiscard]] double RadianceSlope(double temperature_k) const;
  /// The blackbody's temperature [K]; NaN where none within the limits has that signal.
  [[nodiscard]] double Temperature(double signal) const;
};

}  // namespace ohmglow
