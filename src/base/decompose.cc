// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "base/decompose.h"

#include <algorithm>

namespace ohmglow {
namespace {

template <typename Scalar>
SymmetricModes<Scalar> Modes(const Eigen::MatrixX<Scalar>& symmetric) {
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixX<Scalar>> solver(symmetric);
  return {solver.eigenvalues(), solver.eigenvectors()};
}

}  // namespace

SymmetricModes<double> ModesOf(const Eigen::MatrixXd& symmetric) { return Modes(symmetric); }
SymmetricModes<float> ModesOf(const Eigen::MatrixXf& symmetric) { return Modes(symmetric); }

SingularVectors LeftSingular(const Eigen::MatrixXd& a) {
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(a, Eigen::ComputeThinU);
  return {svd.singularValues(), svd.matrixU()};
}

SingularVectors RightSingular(const Eigen::MatrixXd& a) {
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(a, Eigen::ComputeThinV);
  return {svd.singularValues(), svd.matrixV()};
}

Eigen::MatrixXd LeadingDirections(const Eigen::MatrixXd& a, double share) {
  const bool tall = a.rows() > a.cols();
  const SymmetricModes<double> modes =
      ModesOf(tall ? Eigen::MatrixXd(a.transpose() * a) : Eigen::MatrixXd(a * a.transpose()));
  const double least = share * share * modes.values.maxCoeff();
  const auto count = std::max<Eigen::Index>(1, (modes.values.array() > least).count());
  const Eigen::MatrixXd leading = modes.vectors.rightCols(count).rowwise().reverse();
  if (!tall) return leading;
  return (a * leading).colwise().normalized();
}

Eigen::MatrixXd OrthonormalInOrder(const Eigen::MatrixXd& columns) {
  const Eigen::HouseholderQR<Eigen::MatrixXd> qr(columns);
  return qr.householderQ() * Eigen::MatrixXd::Identity(columns.rows(), columns.cols());
}

Eigen::MatrixXd RangeOf(const Eigen::MatrixXd& columns, double tolerance) {
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(columns);
  qr.setThreshold(tolerance);
  return qr.householderQ() * Eigen::MatrixXd::Identity(columns.rows(), qr.rank());
}

Eigen::VectorXd LeastSquares(const Eigen::MatrixXd& a, const Eigen::VectorXd& b) {
  return a.colPivHouseholderQr().solve(b);
}

Eigen::VectorXd SolveSymmetric(const Eigen::MatrixXd& a, const Eigen::VectorXd& b) {
  return a.ldlt().solve(b);
}

Eigen::MatrixXd SolveSymmetric(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b) {
  return a.ldlt().solve(b);
}

Eigen::MatrixXd Inverse(const Eigen::MatrixXd& square) { return square.inverse(); }

Eigen::MatrixXd PseudoInverse(const Eigen::MatrixXd& a) {
  return a.completeOrthogonalDecomposition().pseudoInverse();
}

Eigen::MatrixXf LowerFactor(const Eigen::MatrixXf& positive) { return positive.llt().matrixL(); }

PositiveMatrix::PositiveMatrix(const Eigen::MatrixXd& a) : factor_(a) {}

Eigen::MatrixXd PositiveMatrix::Solve(const Eigen::MatrixXd& b) const { return factor_.solve(b); }
Eigen::VectorXd PositiveMatrix::Solve(const Eigen::VectorXd& b) const { return factor_.solve(b); }

Eigen::MatrixXd PositiveMatrix::Whitener() const {
  return factor_.matrixL().solve(Eigen::MatrixXd::Identity(factor_.rows(), factor_.cols()));
}

double PositiveMatrix::LogDeterminant() const {
  return 2 * factor_.matrixLLT().diagonal().array().log().sum();
}

}  // namespace ohmglow
