// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>

namespace ohmglow {

// Decompositions of dense matrices, compiled once. Wherever one stands in a source it costs the
// compiler two to seven seconds: as much as four or more whole files of ours.

/// Eigenvalues, ascending, and the vectors that go with them, one a column.
template <typename Scalar>
struct SymmetricModes {
  Eigen::VectorX<Scalar> values;
  Eigen::MatrixX<Scalar> vectors;
};
/// @param symmetric  of which the lower half is read.
[[nodiscard]] SymmetricModes<double> ModesOf(const Eigen::MatrixXd& symmetric);
[[nodiscard]] SymmetricModes<float> ModesOf(const Eigen::MatrixXf& symmetric);

/// Singular values, descending, and the vectors of one side, one a column.
struct SingularVectors {
  Eigen::VectorXd values;
  Eigen::MatrixXd vectors;
};
/// Of the columns' space: rows x values.
[[nodiscard]] SingularVectors LeftSingular(const Eigen::MatrixXd& a);
/// Of the rows' space: columns x values.
[[nodiscard]] SingularVectors RightSingular(const Eigen::MatrixXd& a);

/// Left vectors whose values are above `share` of the largest, at least one; quick, by the smaller
/// matrix of products, and good to 1e-16 / share^2.
[[nodiscard]] Eigen::MatrixXd LeadingDirections(const Eigen::MatrixXd& a, double share);

/// The columns made orthonormal in their order; rows >= columns.
[[nodiscard]] Eigen::MatrixXd OrthonormalInOrder(const Eigen::MatrixXd& columns);
/// Orthonormal columns that span what the columns do.
/// @param tolerance  a pivot below this, over the largest, is no direction more.
[[nodiscard]] Eigen::MatrixXd RangeOf(const Eigen::MatrixXd& columns, double tolerance);

/// Least squares of a x = b, rows >= columns.
[[nodiscard]] Eigen::VectorXd LeastSquares(const Eigen::MatrixXd& a, const Eigen::VectorXd& b);
/// x of a x = b, a symmetric and not negative.
[[nodiscard]] Eigen::VectorXd SolveSymmetric(const Eigen::MatrixXd& a, const Eigen::VectorXd& b);
[[nodiscard]] Eigen::MatrixXd SolveSymmetric(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b);

[[nodiscard]] Eigen::MatrixXd Inverse(const Eigen::MatrixXd& square);
/// Of Moore and Penrose: also where directions are missing.
[[nodiscard]] Eigen::MatrixXd PseudoInverse(const Eigen::MatrixXd& a);

/// The lower triangle L of a positive a = L L^T.
[[nodiscard]] Eigen::MatrixXf LowerFactor(const Eigen::MatrixXf& positive);

/// A positive matrix a = L L^T, to be solved with.
class PositiveMatrix {
 public:
  explicit PositiveMatrix(const Eigen::MatrixXd& a);
  /// x of a x = b.
  [[nodiscard]] Eigen::MatrixXd Solve(const Eigen::MatrixXd& b) const;
  [[nodiscard]] Eigen::VectorXd Solve(const Eigen::VectorXd& b) const;
  /// Inverse of L: turns noise of this covariance into white noise of 1.
  [[nodiscard]] Eigen::MatrixXd Whitener() const;
  [[nodiscard]] double LogDeterminant() const;

 private:
  Eigen::LLT<Eigen::MatrixXd> factor_;
};

}  // namespace ohmglow
