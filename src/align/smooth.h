// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

namespace ohmglow::internal {

/// A series and the variance of each of its values.
struct SmoothSeries {
  std::vector<double> value;
  std::vector<double> variance;
};

/// Takes out of a measured walk what is measurement noise.
///
/// The model is a random walk seen through white noise: neighbouring
/// differences then have the variance q + 2 r and the covariance -r. The noise
/// r is what both the data (by that covariance) and the measurement's own
/// bound call noise, so true tremor is kept; a camera at rest comes out at
/// rest. Differences far beyond the usual (a bump) are let through.
/// @param measured  in order of time, at least one.
/// @param bound_variance  the measurement's stated variance, > 0.
/// Source: Rauch, Tung, Striebel, AIAA J. 3 (1965) 1445-1450.
[[nodiscard]] SmoothSeries SmoothWalk(const std::vector<double>& measured, double bound_variance);

}  // namespace ohmglow::internal
