// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "heat/plate.h"

namespace ohmglow {

/// What is given of the board; unset members are fitted or derived.
struct PlatePrior {
  Plate plate;               ///< Film, capacity and thickness are taken as they are.
  bool sheet_known = false;  ///< `plate.sheet_conductance_w_k` was given.
  double blur_px = 0.7;      ///< Standard deviation of the camera's blur.
  /// `plate.heat_capacity_j_m2k` is the bare laminate's: copper, as much as the
  /// sheet conductance speaks of, and the parts on the board come on top.
  bool bare_laminate = false;
};

/// Response per watt of one plate and part lag: modes x frequencies.
struct Kernel {
  double sheet_conductance_w_k;
  double part_lag_s;
  Eigen::MatrixXd thin;     ///< Slab mode 0.
  Eigen::MatrixXd through;  ///< Sum of 2 x slab modes 1..
  Eigen::MatrixXd far;      ///< Sum of 2 (-1)^n x slab modes 1..
};

/// What a drive of one exponent makes, in the span of the models.
struct Responses {
  Eigen::VectorXd log_tau;    ///< Table of lags.
  Eigen::MatrixXd lag_modes;  ///< Modes x table.
  std::vector<Kernel> kernels;

  [[nodiscard]] Eigen::VectorXd LagModes(double tau_s) const;
  [[nodiscard]] Eigen::VectorXd CascadeModes(double tau_s, double part_lag_s) const;
  /// Middling copper, a part without a lag.
  [[nodiscard]] const Kernel& Middle() const;
  void BuildKernels(const PlatePrior& prior, const Eigen::VectorXd& k_rad_m);
};

}  // namespace ohmglow
