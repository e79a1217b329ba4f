// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/result.h"

namespace ohmglow {

/// A power with the standard error of its logarithm.
struct LogPower {
  double power_w = 0;
  double log_sigma = 1;
};

/// Power of a candidate at another current, its interval as a standard error.
/// @param factor      of the power from the candidate's current to the other.
/// @param wrong_side  the capture alone took the other side's kernel.
[[nodiscard]] LogPower PowerOf(const Candidate& candidate, double factor, bool wrong_side);

/// What two captures say of one power.
struct JointPower {
  double power_w = 0;
  double low_w = 0;
  double high_w = 0;  ///< 95 % interval.
  bool conflict = false;
};

/// Weighted by the inverse variances of the logarithms; what both captures
/// assume alike (heat capacity, film) stays in the error. Where the two
/// contradict each other, the nearer side's power stands and the interval holds both.
[[nodiscard]] JointPower JoinPowers(const LogPower& near, const LogPower& far);

}  // namespace ohmglow
