// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

namespace ohmglow {

/// Orthonormal basis of some columns, directions smaller than `tolerance` of
/// the largest left out; no columns where none are given.
[[nodiscard]] Eigen::MatrixXd Orthonormal(const Eigen::MatrixXd& columns, double tolerance = 1e-6);

/// What of some columns lies outside the span of others.
[[nodiscard]] Eigen::MatrixXd Without(const Eigen::MatrixXd& others,
                                      const Eigen::MatrixXd& columns);

}  // namespace ohmglow
