// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <span>
#include <vector>

#include "rank/plate_trials.h"

namespace ohmglow {

/// Response per watt of one plate and part lag.
struct Kernel {
  enum PartOf : Eigen::Index {
    kThin,     ///< Slab mode 0.
    kThrough,  ///< Sum of 2 x slab modes 1..
    /// The same where the copper lies deeper: below the source heat spreads along
    /// the board as in laminate, until it has crossed the thickness.
    kBare,
    kFar,  ///< Sum of 2 (-1)^n x slab modes 1..
    kNumParts
  };
  PlateTrial board;
  double part_lag_s;
  Eigen::MatrixXd parts;  ///< One below the other: modes x frequencies each.

  [[nodiscard]] auto Part(PartOf part) const {
    const Eigen::Index num_modes = parts.rows() / kNumParts;
    return parts.middleRows(part * num_modes, num_modes);
  }
};

/// What a drive of one exponent makes, in the span of the models.
struct Responses {
  Eigen::VectorXd log_tau;    ///< Table of lags.
  Eigen::MatrixXd lag_modes;  ///< Modes x table.
  std::vector<Kernel> kernels;

  /// A lag lies this share of the way from one of the table to the next.
  struct Between {
    Eigen::Index low;
    double share;
  };
  [[nodiscard]] Between At(double tau_s) const;
  [[nodiscard]] Eigen::VectorXd LagModes(double tau_s) const;
  [[nodiscard]] Kernel MakeKernel(const PlateTrial& board,
                                  double part_lag_s,
                                  const Eigen::VectorXd& k_rad_m) const;
  /// Fills `kernels`: every board with every usual lag of a part.
  void BuildKernels(std::span<const PlateTrial> boards, const Eigen::VectorXd& k_rad_m);
};

}  // namespace ohmglow
