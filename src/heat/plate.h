// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/input/case.h"

namespace ohmglow {

/// Sums over the slab's higher modes that a series leaves out [s]: of 1/rate,
/// and of (-1)^n/rate.
struct SlabTail {
  double near_s = 0;
  double far_s = 0;
};

/// A board as a slab: lateral conduction and loss as a thin plate, and the
/// heat's way through the thickness as the slab's cosine modes.
///   C dT/dt = kappa laplace T - H T + q      (mode 0, the mean over the thickness)
struct Plate {
  double sheet_conductance_w_k = 0.015;  ///< kappa: in-plane conductivity x thickness.
  double heat_capacity_j_m2k = 3200;     ///< C, of the full thickness.
  double film_w_m2k = 20;                ///< H, both faces together.
  double thickness_m = 1.6e-3;

  /// Decay rate [1/s] of lateral frequency k [rad/m] in the slab's mode n.
  /// Carslaw, Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, 3.4 (slab
  /// with insulated faces) and 10.3 (plate with loss).
  [[nodiscard]] double DecayRate(double k_rad_m, int mode) const;

  /// What the modes above `last_mode` (>= 0) add to the steady rise of a source
  /// on the face that is seen, and on the other; in full, from the closed sums
  ///   sum 1/(a^2 + n^2) = (pi a coth(pi a) - 1) / (2 a^2),
  ///   sum (-1)^n/(a^2 + n^2) = (pi a / sinh(pi a) - 1) / (2 a^2),  n = 1, 2 ..
  /// (Abramowitz, Stegun 1964, 4.3.91 and 4.3.92 at i a; numbers from memory,
  /// sums tested). They are slow to converge for a small source on much copper:
  /// six modes leave out up to a third of its strength.
  [[nodiscard]] SlabTail TailAfter(double k_rad_m, int last_mode) const;
};

/// Volumetric heat capacity of glass-epoxy laminate with some copper
/// [J/(m3 K)]: 1850 kg/m3 x 1100 J/(kg K) = 2.04e6 (tables of FR-4; 950 to
/// 1280 J/(kg K) in print), rounded as both spread by 10 %.
inline constexpr double kBoardHeatCapacityJM3K = 2.0e6;

/// Diffusivity of glass-epoxy through the thickness [m2/s]: 0.343 W/(m K)
/// (Sarvar, Poole, Witting, J. Electron. Mater. 19 (1990) 1345) over the above.
inline constexpr double kThroughDiffusivityM2S = 1.7e-7;

/// The plate of a case: what it gives, and defaults from the thickness.
[[nodiscard]] Plate PlateOf(const Case& job);

/// Rise [K] at distance r [m] from a point source of P [W] on an infinite thin
/// plate, t [s] after it was switched on: P/(4 pi kappa) W(u, r/lambda), with
/// u = r^2 C/(4 kappa t), lambda = sqrt(kappa/H) and the leaky-well function
/// W(u, b) = int_u^inf exp(-y - b^2/(4 y)) dy / y.
/// Hantush, Jacob, Trans. AGU 36 (1955) 95-100 (same equation, other field).
/// @throws OptionError  unless r and t are positive.
[[nodiscard]] double PointSourceRise(const Plate& plate, double power_w, double r_m, double t_s);

/// The leaky-well function by adaptive quadrature; u > 0, b >= 0.
[[nodiscard]] double LeakyWell(double u, double b);

}  // namespace ohmglow
