// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/signal_curve.h"

#include <cmath>
#include <limits>
#include <sstream>

#include "ohmglow/base/error.h"
#include "ohmglow/input/radiometry.h"

namespace ohmglow {
namespace {

constexpr double kSecondRadiationUmK = kSecondRadiationMK * 1e6;

}  // namespace

void SignalCurve::Validate() const {
  std::ostringstream message;
  if (!(gain > 0 && std::isfinite(gain))) {
    message << "SignalCurve::gain = " << gain << "; must be > 0";
  } else if (!(wavelength_um > 0 && std::isfinite(wavelength_um))) {
    message << "SignalCurve::wavelength_um = " << wavelength_um << "; must be > 0";
  } else if (!(wavelength_um * kLowestK + shift_um_k > 0 && std::isfinite(shift_um_k))) {
    message << "SignalCurve::shift_um_k = " << shift_um_k << "; must be above "
            << -wavelength_um * kLowestK << ", or the curve has no inverse down to " << kLowestK
            << " K";
  } else if (!std::isfinite(dark)) {
    message << "SignalCurve::dark = " << dark << "; must be finite";
  } else if (!(Radiance(kLowestK) > 0 && RadianceSlope(kLowestK) > 0)) {
    message << "SignalCurve: with wavelength_um = " << wavelength_um
            << " and shift_um_k = " << shift_um_k << " there is no signal at " << kLowestK
            << " K, so no inverse";
  } else {
    return;
  }
  throw OptionError(message.str());
}

double SignalCurve::Radiance(double temperature_k) const {
  return gain / std::expm1(kSecondRadiationUmK / (wavelength_um * temperature_k + shift_um_k));
}

double SignalCurve::RadianceSlope(double temperature_k) const {
  const double x = wavelength_um * temperature_k + shift_um_k;
  const double z = kSecondRadiationUmK / x;
  // d/dT of 1 / (e^z - 1): (dz/dT = -z wavelength / x) times -1 / (4 sinh^2(z/2)).
  const double s = 2 * std::sinh(0.5 * z);
  return gain * z * wavelength_um / (x * s * s);
}

double SignalCurve::Temperature(double signal) const {
  const double radiance = signal - dark;
  if (!(radiance > 0)) return std::numeric_limits<double>::quiet_NaN();
  const double temperature_k =
      (kSecondRadiationUmK / std::log1p(gain / radiance) - shift_um_k) / wavelength_um;
  if (temperature_k >= kLowestK && temperature_k <= kHighestK) return temperature_k;
  return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace ohmglow
