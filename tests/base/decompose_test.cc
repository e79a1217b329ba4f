// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Against matrices whose decompositions are known by construction.
#include "base/decompose.h"

#include <gtest/gtest.h>

#include <cmath>

namespace ohmglow {
namespace {

// Turns by 30 degrees about one axis, 70 about another.
Eigen::Matrix3d Turned() {
  return (Eigen::AngleAxisd(0.5236, Eigen::Vector3d::UnitX()) *
          Eigen::AngleAxisd(1.2217, Eigen::Vector3d::UnitZ()))
      .toRotationMatrix();
}

Eigen::MatrixXd WithValues(double a, double b, double c) {
  return Turned() * Eigen::Vector3d(a, b, c).asDiagonal() * Turned().transpose();
}

Eigen::MatrixXd Tall() {
  Eigen::MatrixXd tall(5, 2);
  tall << 1, 2, 3, 4, -1, 0.5, 2, -2, 0.1, 7;
  return tall;
}

double Off(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b) {
  return (a - b).cwiseAbs().maxCoeff();
}

TEST(ModesOf, AreAscendingAndBelongToTheirValues) {
  const SymmetricModes<double> modes = ModesOf(WithValues(5, 0.5, 2));
  EXPECT_LT(Off(modes.values, Eigen::Vector3d(0.5, 2, 5)), 1e-12);
  EXPECT_NEAR(std::abs(modes.vectors.col(2).dot(Turned().col(0))), 1, 1e-12);
  const SymmetricModes<float> coarse =
      ModesOf(Eigen::MatrixXf(WithValues(5, 0.5, 2).cast<float>()));
  EXPECT_LT(Off(coarse.values.cast<double>(), modes.values), 1e-5);
}

TEST(Singular, LeftAndRightMakeTheMatrix) {
  const SingularVectors left = LeftSingular(Tall());
  const SingularVectors right = RightSingular(Tall());
  EXPECT_LT(Off(left.values, right.values), 1e-12);
  EXPECT_GT(left.values(0), left.values(1));
  // Each pair of vectors up to its sign.
  EXPECT_LT(Off((Tall() * right.vectors).cwiseAbs(),
                (left.vectors * left.values.asDiagonal()).cwiseAbs()),
            1e-12);
}

TEST(LeadingDirections, AreTheLeftVectorsOfBothShapes) {
  for (const Eigen::MatrixXd& a : {Tall(), Eigen::MatrixXd(Tall().transpose())}) {
    const Eigen::MatrixXd all = LeadingDirections(a, 1e-4);
    ASSERT_EQ(all.cols(), 2);
    EXPECT_LT(Off(all.cwiseAbs(), LeftSingular(a).vectors.cwiseAbs()), 1e-12);
    const Eigen::VectorXd values = LeftSingular(a).values;
    EXPECT_EQ(LeadingDirections(a, 1.01 * values(1) / values(0)).cols(), 1);
  }
}

TEST(OrthonormalInOrder, KeepsTheFirstDirection) {
  const Eigen::MatrixXd basis = OrthonormalInOrder(Tall());
  EXPECT_LT(Off(basis.transpose() * basis, Eigen::Matrix2d::Identity()), 1e-12);
  EXPECT_NEAR(std::abs(basis.col(0).dot(Tall().col(0).normalized())), 1, 1e-12);
}

TEST(RangeOf, LeavesOutWhatIsNoDirectionMore) {
  Eigen::MatrixXd columns(5, 3);
  columns << Tall(), Tall().rowwise().sum();
  EXPECT_EQ(RangeOf(columns, 1e-9).cols(), 2);
  columns(0, 2) += 0.1;
  EXPECT_EQ(RangeOf(columns, 1e-9).cols(), 3);
}

TEST(Solve, FindsWhatTheRightSideWasMadeOf) {
  const Eigen::Vector3d x(1, -2, 0.5);
  const Eigen::MatrixXd a = WithValues(5, 0.5, 2);
  const Eigen::VectorXd b = a * x;
  EXPECT_LT(Off(SolveSymmetric(a, b), x), 1e-12);
  EXPECT_LT(Off(SolveSymmetric(a, Eigen::MatrixXd(b)), x), 1e-12);
  EXPECT_LT(Off(PositiveMatrix(a).Solve(b), x), 1e-12);
  EXPECT_LT(Off(PositiveMatrix(a).Solve(Eigen::MatrixXd(b)), x), 1e-12);
  EXPECT_LT(Off(Inverse(a) * b, x), 1e-12);
  EXPECT_LT(Off(LeastSquares(Tall(), Tall() * x.head(2)), x.head(2)), 1e-12);
}

// Penrose's conditions (A generalized inverse for matrices, 1955), where a direction is missing.
TEST(PseudoInverse, HoldsWhereADirectionIsMissing) {
  const Eigen::MatrixXd a = WithValues(5, 0, 2);
  const Eigen::MatrixXd inverse = PseudoInverse(a);
  EXPECT_LT(Off(a * inverse * a, a), 1e-12);
  EXPECT_LT(Off(inverse * a * inverse, inverse), 1e-12);
  EXPECT_LT(Off(inverse, WithValues(0.2, 0, 0.5)), 1e-12);
}

TEST(PositiveMatrix, WhitensAndKnowsItsDeterminant) {
  const Eigen::MatrixXd a = WithValues(5, 0.5, 2);
  const Eigen::MatrixXd whitener = PositiveMatrix(a).Whitener();
  EXPECT_LT(Off(whitener * a * whitener.transpose(), Eigen::Matrix3d::Identity()), 1e-12);
  EXPECT_NEAR(PositiveMatrix(a).LogDeterminant(), std::log(5 * 0.5 * 2), 1e-12);
  const Eigen::MatrixXf lower = LowerFactor(a.cast<float>());
  EXPECT_LT(Off((lower * lower.transpose()).cast<double>(), a), 1e-5);
  EXPECT_EQ(lower(0, 2), 0);
}

}  // namespace
}  // namespace ohmglow
