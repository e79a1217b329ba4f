// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/directions.h"

#include "base/decompose.h"

namespace ohmglow {

Eigen::MatrixXd Orthonormal(const Eigen::MatrixXd& columns, double tolerance) {
  if (columns.cols() == 0) return columns;
  const SingularVectors left = LeftSingular(columns);
  const auto rank = (left.values.array() > tolerance * left.values(0)).count();
  return left.vectors.leftCols(rank);
}

Eigen::MatrixXd Without(const Eigen::MatrixXd& others, const Eigen::MatrixXd& columns) {
  const Eigen::MatrixXd basis = Orthonormal(others);
  return columns - basis * (basis.transpose() * columns);
}

}  // namespace ohmglow
