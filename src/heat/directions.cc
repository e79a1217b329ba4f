// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/directions.h"

namespace ohmglow {

Eigen::MatrixXd Orthonormal(const Eigen::MatrixXd& columns, double tolerance) {
  if (columns.cols() == 0) return columns;
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(columns, Eigen::ComputeThinU);
  const auto rank = (svd.singularValues().array() > tolerance * svd.singularValues()(0)).count();
  return svd.matrixU().leftCols(rank);
}

Eigen::MatrixXd Without(const Eigen::MatrixXd& others, const Eigen::MatrixXd& columns) {
  const Eigen::MatrixXd basis = Orthonormal(others);
  return columns - basis * (basis.transpose() * columns);
}

}  // namespace ohmglow
