// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

namespace ohmglow {

/// Covariance of the quieter part of many samples about zero, scaled so that
/// their median Mahalanobis distance is that of a Gaussian: concentration
/// steps as in Rousseeuw, Van Driessen, Technometrics 41 (1999) 212-223 (from
/// memory), begun at the identity since the samples are standardised.
/// @param samples  dimensions x samples, white noise of unit spread in them.
/// @return  dimensions x dimensions, no eigenvalue below 1: nothing is quieter
///          than white noise.
[[nodiscard]] Eigen::MatrixXd RobustCovariance(const Eigen::MatrixXf& samples);

/// Value that chi-square with so many degrees of freedom exceeds as rarely as
/// a standard normal exceeds `sigmas`. Wilson, Hilferty, Proc. Natl. Acad.
/// Sci. 17 (1931) 684-688: good to 1 % from three degrees on.
[[nodiscard]] double ChiSquareQuantile(int degrees, double sigmas);

}  // namespace ohmglow
