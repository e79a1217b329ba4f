// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/reference_solver.h"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <numbers>
#include <vector>

// The solver that other tests lean on, against exact solutions.
namespace ohmglow::testing {
namespace {

using std::numbers::pi;

Eigen::VectorXd HeatAt(const ReferenceSolver& solver, Eigen::Index cell, double power_w) {
  Eigen::VectorXd heat = Eigen::VectorXd::Zero(solver.rise_k.size());
  heat(cell) = power_w;
  return heat;
}

void March(ReferenceSolver& solver, double time_s, int steps, const Eigen::VectorXd& heat_w) {
  for (int i = 0; i < steps; ++i) solver.Step(time_s / steps, heat_w);
}

// Between the middles of rings.
double RingAt(const Eigen::VectorXd& rise_k, const std::vector<double>& edges_m, double r_m) {
  const auto middle = [&](std::size_t i) { return 0.5 * (edges_m[i] + edges_m[i + 1]); };
  std::size_t i = 0;
  while (middle(i + 1) < r_m) ++i;
  const double share = (r_m - middle(i)) / (middle(i + 1) - middle(i));
  const auto at = static_cast<Eigen::Index>(i);
  return (1 - share) * rise_k(at) + share * rise_k(at + 1);
}

// Bare 1.6 mm laminate.
constexpr double kKappa = 0.0016944;
constexpr double kCapacity = 3256;
constexpr double kFilm = 20;

// The leaky-well function: Hantush, Jacob, Trans. AGU 36 (1955) 95-100;
// Hantush, Trans. AGU 37 (1956) 702-714, values recomputed.
// With kappa = C = r = 1: H = b^2, t = 1/(4 u), P = 4 pi.
TEST(ReferenceSolver, MakesTheLeakyWell) {
  const struct {
    double u, b, value;
  } rows[] = {{0.01, 0.1, 3.81502},
              {0.1, 0.5, 1.44220},
              {1, 1, 0.185475},
              {0.05, 0.3, 2.13711},
              {0.001, 0.01, 6.30688},
              {0.625, 5, 0.00737986}};
  const std::vector<double> edges = GrowingEdges(0.02, 2, 1.05, 200);
  for (const auto& row : rows) {
    ReferenceSolver plate = ReferenceSolver::Rings(ThinPlate(1, 1, 1, row.b * row.b), edges);
    March(plate, 1 / (4 * row.u), 800, HeatAt(plate, 0, 4 * pi));
    EXPECT_NEAR(RingAt(plate.rise_k, edges, 1), row.value, 3e-3 * row.value) << row.u;
  }
}

// P/(4 pi kappa) W(u, r/lambda), the same sources.
TEST(ReferenceSolver, WarmsLaminateAsAStepOfPowerDoes) {
  const struct {
    double time_s, rise_k;
  } rows[] = {{5, 0.65009}, {20, 9.89589}, {60, 24.2425}, {300, 38.8411}};
  const std::vector<double> edges = GrowingEdges(1e-4, 0.02, 1.05, 0.2);
  for (const auto& row : rows) {
    ReferenceSolver plate =
        ReferenceSolver::Rings(ThinPlate(kKappa, kKappa, kCapacity, kFilm), edges);
    March(plate, row.time_s, 800, HeatAt(plate, 0, 0.5));
    EXPECT_NEAR(RingAt(plate.rise_k, edges, 0.005), row.rise_k, 4e-3 * row.rise_k) << row.time_s;
  }
}

// P/(2 pi kappa) K0(r/lambda) and the disc P/(pi a^2 H) (1 - (a/lambda)
// K1(a/lambda)): Carslaw, Jaeger, Conduction of Heat in Solids, 2nd ed. 1959,
// ch. X with a loss; energy balance P/H.
TEST(ReferenceSolver, TendsToTheSteadyPlate) {
  const std::vector<double> edges = GrowingEdges(1e-4, 0.02, 1.05, 0.4);
  const auto rings = static_cast<Eigen::Index>(edges.size()) - 1;
  const struct {
    double kappa, at_5_mm, disc;
  } rows[] = {{kKappa, 40.2288, 133.423}, {0.0157294, 9.42467, 19.9860}};
  for (const auto& row : rows) {
    const ReferenceSolver plate =
        ReferenceSolver::Rings(ThinPlate(row.kappa, row.kappa, kCapacity, kFilm), edges);
    const Eigen::VectorXd point = plate.Steady(HeatAt(plate, 0, 0.5));
    EXPECT_NEAR(RingAt(point, edges, 0.005), row.at_5_mm, 1e-3 * row.at_5_mm);
    if (row.kappa == kKappa) {
      EXPECT_NEAR(RingAt(point, edges, 0.010), 17.4987, 0.02);
    }
    const Eigen::VectorXd disc = plate.Steady(0.5 * DiscShares(edges, 1e-3));
    EXPECT_NEAR(disc(0), row.disc, 2e-3 * row.disc);
    double integral = 0;
    for (Eigen::Index i = 0; i < rings; ++i) {
      const auto at = static_cast<std::size_t>(i);
      integral += disc(i) * pi * (edges[at + 1] * edges[at + 1] - edges[at] * edges[at]);
    }
    EXPECT_NEAR(integral, 0.025, 1e-6);
  }
}

// A plate that conducts unlike in x and y is an even one of sqrt(kx ky) in
// stretched coordinates: Carslaw, Jaeger 1959, 1.17 and 1.20 (sections from
// memory). Without loss E1 (Abramowitz, Stegun 1964, 5.1), steady with loss
// K0 (9.6), both by the standard library.
TEST(ReferenceSolver, StretchesWhatConductsUnlikeInXAndY) {
  constexpr double kX = 0.020;
  constexpr double kY = 0.005;
  constexpr double kCellM = 0.5e-3;
  constexpr int kCells = 140;
  const double even = std::sqrt(kX * kY);
  const auto stretched = [&](int x, int y) {
    return kCellM * std::sqrt(even) *
           std::hypot((x + 0.5) / std::sqrt(kX), (y + 0.5) / std::sqrt(kY));
  };
  const int places[][2] = {{20, 0}, {0, 14}, {14, 9}, {30, 4}};
  // A quarter of 0.4 W in the corner: four in all with the mirrors.
  ReferenceSolver plate =
      ReferenceSolver::Box(ThinPlate(kX, kY, kCapacity, 0), kCells, kCells, kCellM);
  March(plate, 10, 100, HeatAt(plate, 0, 0.1));
  const ReferenceSolver lossy =
      ReferenceSolver::Box(ThinPlate(kX, kY, kCapacity, 200), kCells, kCells, kCellM);
  const Eigen::VectorXd steady = lossy.Steady(HeatAt(lossy, 0, 0.1));
  for (const auto& [x, y] : places) {
    const double r_m = stretched(x, y);
    const double well = -std::expint(-r_m * r_m * kCapacity / (4 * even * 10));
    const double rise_k = 0.4 / (4 * pi * even) * well;
    EXPECT_NEAR(plate.rise_k(y * kCells + x), rise_k, 0.01 * rise_k) << x << " " << y;
    const double steady_k =
        0.4 / (2 * pi * even) * std::cyl_bessel_k(0.0, r_m / std::sqrt(even / 200));
    EXPECT_NEAR(steady(y * kCells + x), steady_k, 0.02 * steady_k) << x << " " << y;
  }
}

// A ripple dies with (kx a^2 + ky b^2 + H) / C.
TEST(ReferenceSolver, LetsARippleDie) {
  constexpr int kCells = 50;
  constexpr double kCellM = 0.5e-3;
  const double a = 3 * pi / (kCells * kCellM);
  const double b = 2 * pi / (kCells * kCellM);
  ReferenceSolver plate =
      ReferenceSolver::Box(ThinPlate(0.02, 0.005, kCapacity, kFilm), kCells, kCells, kCellM);
  const auto ripple = [&](int x, int y) {
    return std::cos(a * (x + 0.5) * kCellM) * std::cos(b * (y + 0.5) * kCellM);
  };
  for (int y = 0; y < kCells; ++y) {
    for (int x = 0; x < kCells; ++x) plate.rise_k(y * kCells + x) = ripple(x, y);
  }
  March(plate, 1, 50, Eigen::VectorXd::Zero(kCells * kCells));
  const double left = std::exp(-(0.02 * a * a + 0.005 * b * b + kFilm) / kCapacity);
  EXPECT_NEAR(plate.rise_k(0), left * ripple(0, 0), 2e-3);
  EXPECT_NEAR(plate.rise_k(20 * kCells + 7), left * ripple(7, 20), 2e-3);
}

// The slab with insulated faces: half time of the flash method 0.1388 L^2 /
// alpha (Parker, Jenkins, Butler, Abbott, J. Appl. Phys. 32 (1961) 1679, row
// P-PK), delay of the far face L^2 / (6 alpha) under constant heating (Carslaw,
// Jaeger 3.8: 2.5314 s for 1.6 mm).
TEST(ReferenceSolver, CarriesHeatThroughASlab) {
  constexpr int kLayers = 100;
  constexpr double kLM = 1.6e-3;
  constexpr double kHeat = 1850.0 * 1100.0;
  const double alpha = 0.343 / kHeat;
  const ReferenceStack slab = EvenSlab(kLayers, kLM, 1, 0.343, kHeat, 0);
  ReferenceSolver flash = ReferenceSolver::Box(slab, 1, 1, 1e-3);
  flash.rise_k(0) = kLayers;
  March(flash, 0.1388 * kLM * kLM / alpha, 200, Eigen::VectorXd::Zero(kLayers));
  EXPECT_NEAR(flash.rise_k(kLayers - 1), 0.5, 1e-3);
  ReferenceSolver heated = ReferenceSolver::Box(slab, 1, 1, 1e-3);
  March(heated, 30, 300, HeatAt(heated, 0, 1));
  const double per_s = 1 / (kHeat * kLM * 1e-6);
  EXPECT_NEAR(30 - heated.rise_k(kLayers - 1) / per_s, 2.5314, 0.01);
}

// Two unlike layers, insulated: the slowest change but the mean dies at the
// first root of k1 s1 tan(s1 L1) + k2 s2 tan(s2 L2), s = sqrt(rate / alpha):
// both half profiles are cosines that meet in value and flux. Carslaw, Jaeger
// 1959, 12.8 treats the like (section from memory); derived here.
TEST(ReferenceSolver, JoinsUnlikeLayers) {
  const ReferenceLayer one{0.4e-3 / 40, 1, 1, 0.9, 1.6e6};
  const ReferenceLayer two{1.2e-3 / 60, 1, 1, 0.3, 2.1e6};
  ReferenceStack stack;
  for (int i = 0; i < 40; ++i) stack.layers.push_back(one);
  for (int i = 0; i < 60; ++i) stack.layers.push_back(two);
  const auto mismatch = [&](double rate) {
    const double s1 = std::sqrt(rate * one.capacity_j_m3k / one.kz_w_mk);
    const double s2 = std::sqrt(rate * two.capacity_j_m3k / two.kz_w_mk);
    return one.kz_w_mk * s1 * std::sin(s1 * 0.4e-3) * std::cos(s2 * 1.2e-3) +
           two.kz_w_mk * s2 * std::sin(s2 * 1.2e-3) * std::cos(s1 * 0.4e-3);
  };
  double rate = 0.01;
  while (mismatch(rate) > 0) rate += 1e-4;
  ReferenceSolver slab = ReferenceSolver::Box(stack, 1, 1, 1e-3);
  slab.rise_k(0) = 1;
  const Eigen::VectorXd none = Eigen::VectorXd::Zero(100);
  const auto difference = [&] { return slab.rise_k(0) - slab.rise_k(99); };
  March(slab, 6, 600, none);
  const double before = difference();
  March(slab, 3, 300, none);
  EXPECT_NEAR(std::log(before / difference()) / 3, rate, 2e-3 * rate);
}

// A disc on a half space: centre P / (pi a k), mean 8 P / (3 pi^2 a k):
// Carslaw, Jaeger 1959, 8.2 (from memory, recomputed). 0.3 m of it here, which leaves
// a thousandth out.
TEST(ReferenceSolver, HeatsAHalfSpaceByADisc) {
  constexpr double kAM = 1e-3;
  constexpr double kThin = 0.03e-3;
  const std::vector<double> edges = GrowingEdges(0.05e-3, 2e-3, 1.15, 0.3);
  ReferenceStack deep;
  double thickness_m = kThin;
  for (double depth_m = 0; depth_m < 0.3; depth_m += thickness_m, thickness_m *= 1.15) {
    deep.layers.push_back({thickness_m, 36, 36, 36, 3e6});
  }
  deep.film_bottom_w_m2k = 1e5;
  const ReferenceSolver body = ReferenceSolver::Rings(deep, edges);
  Eigen::VectorXd heat = Eigen::VectorXd::Zero(body.rise_k.size());
  const Eigen::VectorXd shares = DiscShares(edges, kAM);
  heat.head(shares.size()) = 0.5 * shares;
  const Eigen::VectorXd rise = body.Steady(heat);
  // From the middle of the first layer up to the face that the flux enters by.
  const double to_face_k = 0.5 / (pi * kAM * kAM) * 0.5 * kThin / 36;
  EXPECT_NEAR(rise(0) + to_face_k, 4.42097, 0.01 * 4.42097);
  EXPECT_NEAR(rise.head(shares.size()).dot(shares) + to_face_k, 3.75264, 0.01 * 3.75264);
}

// Second order in the step: half the step, a quarter of the error; and a mode
// ten thousand times too quick for the step is gone after two.
TEST(ReferenceSolver, IsOfSecondOrderAndDamped) {
  const auto error = [](int steps) {
    ReferenceSolver cell = ReferenceSolver::Box(ThinPlate(1, 1, 1, 1), 1, 1, 1);
    cell.rise_k(0) = 1;
    March(cell, 1, steps, Eigen::VectorXd::Zero(1));
    return std::abs(cell.rise_k(0) - std::exp(-1.0));
  };
  EXPECT_NEAR(error(10) / error(20), 4, 0.3);
  ReferenceSolver quick = ReferenceSolver::Box(ThinPlate(1, 1, 1, 1e4), 1, 1, 1);
  quick.rise_k(0) = 1;
  March(quick, 2, 2, Eigen::VectorXd::Zero(1));
  EXPECT_LT(std::abs(quick.rise_k(0)), 1e-5);
}

}  // namespace
}  // namespace ohmglow::testing
