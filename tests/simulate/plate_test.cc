// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "simulate/plate.h"

#include <gtest/gtest.h>

#include <cmath>

namespace ohmglow::simulate {
namespace {

constexpr double kSheet = 1.059 * 1.6e-3;  // W/K: bare 1.6 mm laminate; Sarvar et al. 1990.
constexpr double kCapacity = 3256;         // J/(m2 K): 1850 kg/m3, 1100 J/(kg K), 1.6 mm.
constexpr double kFilm = 20;               // W/(m2 K), both faces.
constexpr double kPower = 0.5;
constexpr int kCells = 161;

// A bare laminate of 80 mm with loss on both faces and a point of heat in the middle.
class PointOnLaminate : public ::testing::Test {
 protected:
  PointOnLaminate() : plate_(kCells, kCells, 2, 0.5), solver_(Fill(plate_)) {
    heat_ = {{plate_.Index(kCells / 2, kCells / 2, 0), 0, kPower}};
  }

  static const Plate& Fill(Plate& plate) {
    FillLaminate(plate, 0, 2, kSheet, kCapacity, 0.343 / 1.6e-3);
    for (float& loss : plate.loss_w_k) loss = static_cast<float>(0.5 * kFilm * 0.25e-6);
    return plate;
  }

  void March(double seconds, double step_s) {
    const int steps = static_cast<int>(std::lround(seconds / step_s));
    for (int k = 0; k < steps; ++k) solver_.Step(step_s, heat_);
  }

  // Mean of both faces, which obeys the plate equation exactly.
  double RiseAt(double mm) const {
    const int x = kCells / 2 + static_cast<int>(std::lround(mm / 0.5));
    return 0.5 * (solver_.rise_k(plate_.Index(x, kCells / 2, 0), 0) +
                  solver_.rise_k(plate_.Index(x, kCells / 2, 1), 0));
  }

  Plate plate_;
  PlateSolver solver_;
  std::vector<CellHeat> heat_;
};

// P/(4 pi kappa) W(u, r/lambda): Hantush & Jacob, Trans. AGU 36 (1955) 95-100
// (values recomputed by finite volumes); steady P/(2 pi kappa) K0(r/lambda):
// Carslaw & Jaeger, 2nd ed. 1959, ch. X; energy balance P/H.
TEST_F(PointOnLaminate, FollowsTheLeakyWellAndItsSteadyState) {
  March(20, 0.25);
  EXPECT_NEAR(RiseAt(5), 9.8959, 0.01 * 9.8959);
  March(40, 0.5);
  EXPECT_NEAR(RiseAt(5), 24.2425, 0.005 * 24.2425);
  March(240, 1);
  EXPECT_NEAR(RiseAt(5), 38.841, 0.005 * 38.841);
  March(1200, 10);
  EXPECT_NEAR(RiseAt(5), 40.229, 0.005 * 40.229);
  EXPECT_NEAR(RiseAt(10), 17.499, 0.005 * 17.499);
  EXPECT_NEAR(solver_.Loss(0) / kFilm, 0.025, 0.001 * 0.025);
}

// Row P-T1: after 5 s the front only just arrives, so that the grid shows; its
// error must fall with the square of the cell.
TEST(PlateSolver, ConvergesToTheLeakyWellWithItsCells) {
  const auto error = [](double cell_mm) {
    Plate plate(161, 161, 2, cell_mm);
    FillLaminate(plate, 0, 2, kSheet, kCapacity, 0.343 / 1.6e-3);
    for (float& loss : plate.loss_w_k) {
      loss = static_cast<float>(0.5 * kFilm * 1e-6 * cell_mm * cell_mm);
    }
    PlateSolver solver(plate);
    for (int k = 0; k < 50; ++k) solver.Step(0.1, {{plate.Index(80, 80, 0), 0, kPower}});
    const int x = 80 + static_cast<int>(std::lround(5 / cell_mm));
    const double rise =
        0.5 * (solver.rise_k(plate.Index(x, 80, 0), 0) + solver.rise_k(plate.Index(x, 80, 1), 0));
    return std::abs(rise / 0.6501 - 1);
  };
  EXPECT_LT(error(0.25), 0.012);
  EXPECT_GT(error(0.5), 3 * error(0.25));
}

TEST_F(PointOnLaminate, KeepsTheBalanceOfEnergy) {
  double given = 0;
  double lost = 0;
  for (int k = 0; k < 200; ++k) {
    const double before = solver_.Loss(0);
    solver_.Step(0.1, heat_);
    given += kPower * 0.1;
    lost += 0.05 * (before + solver_.Loss(0));
  }
  EXPECT_NEAR(solver_.Energy(0) + lost, given, 1e-4 * given);
}

TEST_F(PointOnLaminate, KeepsItsLanesApartAndLinear) {
  heat_.push_back({heat_[0].cell, 2, 3 * kPower});
  March(5, 0.25);
  const auto at = plate_.Index(kCells / 2 + 4, kCells / 2, 1);
  EXPECT_GT(solver_.rise_k(at, 0), 1);
  EXPECT_NEAR(solver_.rise_k(at, 2), 3 * solver_.rise_k(at, 0), 1e-4);
  EXPECT_EQ(solver_.rise_k(at, 1), 0);
}

// Delay of the far face under constant heating, L^2/(6 alpha): Carslaw &
// Jaeger 3.8; 0.8, 1.2 and 1.6 mm of FR-4 (k 0.343, rho 1850, cp 1100).
TEST(FillLaminate, DelaysTheFarFaceAsASlab) {
  const struct { double mm, lag_s; } rows[] = {{0.8, 0.633}, {1.2, 1.424}, {1.6, 2.531}};
  for (const auto& row : rows) {
    for (int layers = 2; layers <= 4; ++layers) {
      Plate plate(3, 3, layers, 0.5);
      const double capacity = 1850 * 1100 * 1e-3 * row.mm;
      FillLaminate(plate, 0, layers, 1e-3, capacity, 0.343 / (1e-3 * row.mm));
      PlateSolver solver(plate);
      std::vector<CellHeat> heat;
      for (std::size_t i = 0; i < 9; ++i) heat.push_back({i, 0, 0.01});
      for (int k = 0; k < 400; ++k) solver.Step(0.1, heat);
      const double speed_k_s = 0.01 / (capacity * 0.25e-6);
      const double mean = 40 * speed_k_s;
      const double far = solver.rise_k(plate.Index(1, 1, layers - 1), 0);
      EXPECT_NEAR((mean - far) / speed_k_s, row.lag_s, 0.002 * row.lag_s)
          << row.mm << " mm, " << layers << " layers";
    }
  }
}

// A single lag, T = P/H (1 - exp(-t H/C)): the error must fall with the square of the step.
TEST(PlateSolver, IsOfSecondOrder) {
  const auto error = [](double step_s) {
    Plate plate(1, 1, 1, 0.5);
    plate.capacity_j_k[0] = 5;
    plate.loss_w_k[0] = 1;
    PlateSolver solver(plate);
    const int steps = static_cast<int>(std::lround(8 / step_s));
    for (int k = 0; k < steps; ++k) solver.Step(step_s, {{0, 0, 10}});
    return std::abs(solver.rise_k(0, 0) - 10 * (1 - std::exp(-8.0 / 5)));
  };
  EXPECT_GT(error(4), 3 * error(2));
  EXPECT_GT(error(2), 3 * error(1));
  EXPECT_LT(error(1), 0.02);
}

}  // namespace
}  // namespace ohmglow::simulate
