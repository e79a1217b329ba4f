// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/plate.h"

#include <cmath>
#include <numbers>

#include "ohmglow/base/error.h"

namespace ohmglow {

double Plate::DecayRate(double k_rad_m, int mode) const {
  const double across = mode * std::numbers::pi / thickness_m;
  return (sheet_conductance_w_k * k_rad_m * k_rad_m + film_w_m2k) / heat_capacity_j_m2k +
         kThroughDiffusivityM2S * across * across;
}

SlabTail Plate::TailAfter(double k_rad_m, int last_mode) const {
  const double through = std::numbers::pi / thickness_m;
  const double through_rate = kThroughDiffusivityM2S * through * through;
  const double a = std::sqrt(DecayRate(k_rad_m, 0) / through_rate);
  const double x = std::numbers::pi * a;
  SlabTail tail;
  // Nearly no loss: the sums are pi^2/6 and -pi^2/12.
  constexpr double kSmall = 1e-3;
  if (x < kSmall) {
    tail.near_s = std::numbers::pi * std::numbers::pi / 6;
    tail.far_s = -0.5 * tail.near_s;
  } else {
    tail.near_s = (x / std::tanh(x) - 1) / (2 * a * a);
    tail.far_s = (x / std::sinh(x) - 1) / (2 * a * a);
  }
  tail.near_s /= through_rate;
  tail.far_s /= through_rate;
  for (int n = 1; n <= last_mode; ++n) {
    tail.near_s -= 1 / DecayRate(k_rad_m, n);
    tail.far_s -= (n % 2 == 0 ? 1 : -1) / DecayRate(k_rad_m, n);
  }
  return tail;
}

Plate PlateOf(const Case& job) {
  Plate plate;
  plate.thickness_m = 1e-3 * job.thickness_mm;
  plate.film_w_m2k = 2 * job.film_w_m2k;
  plate.heat_capacity_j_m2k =
      job.heat_capacity_j_m2k.value_or(kBoardHeatCapacityJM3K * plate.thickness_m);
  if (job.sheet_conductance_w_k) plate.sheet_conductance_w_k = *job.sheet_conductance_w_k;
  return plate;
}

double LeakyWell(double u, double b) {
  if (!(u > 0) || !(b >= 0)) throw OptionError("LeakyWell needs u > 0 and b >= 0");
  // With y = u exp(s) the integrand is smooth and dies off double
  // exponentially: the trapezium rule converges faster than any power.
  const double last = std::log(750 / u);
  if (last <= 0) return 0;
  constexpr int kSteps = 4000;
  const double ds = last / kSteps;
  double sum = 0;
  for (int i = 0; i <= kSteps; ++i) {
    const double y = u * std::exp(i * ds);
    const double value = std::exp(-y - b * b / (4 * y));
    sum += (i == 0 || i == kSteps) ? 0.5 * value : value;
  }
  // End correction of the trapezium rule at s = 0 (Euler-Maclaurin, first term).
  const double at_u = std::exp(-u - b * b / (4 * u));
  const double slope = at_u * (b * b / (4 * u) - u);
  return ds * sum + ds * ds / 12 * slope;
}

double PointSourceRise(const Plate& plate, double power_w, double r_m, double t_s) {
  if (!(r_m > 0) || !(t_s > 0)) throw OptionError("PointSourceRise needs r and t above zero");
  const double kappa = plate.sheet_conductance_w_k;
  const double u = r_m * r_m * plate.heat_capacity_j_m2k / (4 * kappa * t_s);
  const double b = r_m * std::sqrt(plate.film_w_m2k / kappa);
  return power_w / (4 * std::numbers::pi * kappa) * LeakyWell(u, b);
}

}  // namespace ohmglow
