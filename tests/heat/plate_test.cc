// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/plate.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

struct Row {
  double x, value;
};

// Bare 1.6 mm laminate: 1.059 W/(m K) in the plane (Sarvar, Poole, Witting,
// J. Electron. Mater. 19 (1990) 1345-1350), both faces 20 W/(m2 K).
Plate Laminate() { return {1.059 * 1.6e-3, 3256, 20, 1.6e-3}; }

// W(0, b) = 2 K0(b): Hantush, Jacob, Trans. AGU 36 (1955) 95-100; K0 from
// Abramowitz, Stegun 1964, Table 9.8.
TEST(LeakyWell, TendsToTwiceK0AfterLongTimes) {
  const Row rows[] = {{0.1, 2.4270690247},
                      {0.5, 0.9244190712},
                      {1, 0.4210244382},
                      {2, 0.1138938727},
                      {5, 0.0036910983}};
  for (const Row& row : rows) EXPECT_NEAR(LeakyWell(1e-6, row.x), 2 * row.value, 1e-9) << row.x;
}

// No loss: the exponential integral, Abramowitz, Stegun 1964, Table 5.1 (rows
// P-E1-*; from memory, recomputed).
TEST(LeakyWell, IsTheExponentialIntegralWithoutLoss) {
  const Row rows[] = {{0.01, 4.0379295765},
                      {0.1, 1.8229239584},
                      {0.5, 0.5597735948},
                      {1, 0.2193839344},
                      {2, 0.0489005107}};
  for (const Row& row : rows) EXPECT_NEAR(LeakyWell(row.x, 0), row.value, 1e-9) << row.x;
}

// Function of Hantush, Jacob, Trans. AGU 36 (1955) 95-100 and Hantush, Trans.
// AGU 37 (1956) 702-714; values recomputed.
TEST(LeakyWell, AgreesWithRecomputedValues) {
  EXPECT_NEAR(LeakyWell(0.01, 0.1), 3.81502, 1e-5);
  EXPECT_NEAR(LeakyWell(0.1, 0.5), 1.44220, 1e-5);
  EXPECT_NEAR(LeakyWell(1, 1), 0.185475, 1e-6);
  EXPECT_NEAR(LeakyWell(0.05, 0.3), 2.13711, 1e-5);
  EXPECT_NEAR(LeakyWell(0.001, 0.01), 6.30688, 1e-5);
  EXPECT_NEAR(LeakyWell(0.625, 5), 0.00737986, 1e-8);
}

TEST(LeakyWell, RefusesWhatHasNoMeaning) {
  EXPECT_THROW(static_cast<void>(LeakyWell(0, 1)), OptionError);
  EXPECT_THROW(static_cast<void>(LeakyWell(1, -1)), OptionError);
  EXPECT_THROW(static_cast<void>(LeakyWell(std::nan(""), 1)), OptionError);
  EXPECT_EQ(LeakyWell(800, 0), 0);  // Beyond what a double tells from zero.
}

// P/(4 pi kappa) W(u, r/lambda), 5 mm from 0.5 W (recomputed by finite volumes).
TEST(PointSourceRise, FollowsTheLeakyWell) {
  const Row rows[] = {{5, 0.65009}, {20, 9.89589}, {60, 24.2425}, {300, 38.8411}};
  for (const Row& row : rows) {
    EXPECT_NEAR(PointSourceRise(Laminate(), 0.5, 5e-3, row.x), row.value, 1e-4 * row.value);
  }
}

// Steady P/(2 pi kappa) K0(r/lambda): Carslaw, Jaeger, 2nd ed. 1959, ch. X
// (recomputed by finite volumes), bare and with a full 35 um plane of copper.
TEST(PointSourceRise, TendsToTheSteadyPlate) {
  EXPECT_NEAR(PointSourceRise(Laminate(), 0.5, 5e-3, 1e5), 40.2288, 1e-3);
  EXPECT_NEAR(PointSourceRise(Laminate(), 0.5, 10e-3, 1e5), 17.4987, 1e-3);
  Plate with_plane = Laminate();
  with_plane.sheet_conductance_w_k = 0.0157294;
  EXPECT_NEAR(PointSourceRise(with_plane, 0.5, 5e-3, 1e5), 9.42467, 1e-4);
}

TEST(PointSourceRise, RefusesTheSingularPoint) {
  EXPECT_THROW(static_cast<void>(PointSourceRise(Laminate(), 1, 0, 1)), OptionError);
  EXPECT_THROW(static_cast<void>(PointSourceRise(Laminate(), 1, 1, 0)), OptionError);
}

// Row P-TAU: C/H = 162.8 s; and spread k^2 kappa / C on top.
TEST(DecayRate, OfTheWholeBoardIsFilmOverCapacity) {
  EXPECT_NEAR(1 / Laminate().DecayRate(0, 0), 162.8, 0.05);
  const double k = 2 * std::numbers::pi / 0.01;
  EXPECT_NEAR(Laminate().DecayRate(k, 0) - Laminate().DecayRate(0, 0),
              1.059 * 1.6e-3 / 3256 * k * k,
              1e-12);
}

Plate Slab(double thickness_m) {
  Plate slab = Laminate();
  slab.film_w_m2k = 0;
  slab.thickness_m = thickness_m;
  return slab;
}

// Far face of a slab after a pulse on the near one, relative to its final rise.
double AfterPulse(const Plate& slab, double time_s) {
  double sum = 1;
  for (int n = 1; n < 60; ++n) sum += (n % 2 ? -2 : 2) * std::exp(-slab.DecayRate(0, n) * time_s);
  return sum;
}

double HalfTime(const Plate& slab) {
  double low = 0.05;
  double high = 20;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (AfterPulse(slab, middle) < 0.5 ? low : high) = middle;
  }
  return high;
}

// Parker, Jenkins, Butler, Abbott, J. Appl. Phys. 32 (1961) 1679-1684: half
// time x diffusivity / thickness^2 = 0.1388.
TEST(DecayRate, GivesTheFlashMethodsHalfTime) {
  for (const double mm : {0.8, 1.2, 1.6}) {
    const double scale = kThroughDiffusivityM2S / (1e-6 * mm * mm);
    EXPECT_NEAR(HalfTime(Slab(1e-3 * mm)) * scale, 0.1388, 5e-5) << mm;
  }
}

// The same in seconds for FR-4, k 0.343 W/(m K) (Sarvar et al. 1990), 1850
// kg/m3, 1100 J/(kg K); delay of the far face under constant
// heating, L^2/(6 alpha), Carslaw, Jaeger 3.8.
TEST(DecayRate, DelaysTheFarFaceOfLaminate) {
  const struct {
    double mm, half_s, delay_s;
  } rows[] = {{0.8, 0.527, 0.633}, {1.2, 1.186, 1.424}, {1.6, 2.108, 2.531}};
  for (const auto& row : rows) {
    const Plate slab = Slab(1e-3 * row.mm);
    EXPECT_NEAR(HalfTime(slab), row.half_s, 0.02 * row.half_s);
    double delay_s = 0;
    for (int n = 1; n < 400; ++n) delay_s += (n % 2 ? 2 : -2) / slab.DecayRate(0, n);
    EXPECT_NEAR(delay_s, row.delay_s, 0.02 * row.delay_s);
  }
}

// The closed sums against a million terms, whose rest is below 1/(1e6 rate1).
TEST(TailAfter, IsWhatTheSeriesLeavesOut) {
  Plate plate = Laminate();
  for (const double film_w_m2k : {0.0, 20.0}) {
    plate.film_w_m2k = film_w_m2k;
    for (const double k : {1e-3, 100.0, 1000.0, 5000.0}) {
      for (const int last_mode : {0, 6}) {
        double near_s = 0;
        double far_s = 0;
        for (int n = 1000000; n > last_mode; --n) {
          near_s += 1 / plate.DecayRate(k, n);
          far_s += (n % 2 == 0 ? 1 : -1) / plate.DecayRate(k, n);
        }
        const SlabTail tail = plate.TailAfter(k, last_mode);
        EXPECT_NEAR(tail.near_s, near_s, 2e-6) << k << " " << last_mode;
        EXPECT_NEAR(tail.far_s, far_s, 1e-9) << k << " " << last_mode;
      }
    }
  }
}

// Rows M-F1 (through the plane), M-F5, M-F6.
TEST(PlateConstants, AreThoseOfGlassEpoxy) {
  EXPECT_NEAR(kThroughDiffusivityM2S, 0.343 / (1850 * 1100), 0.05 * kThroughDiffusivityM2S);
  EXPECT_NEAR(kBoardHeatCapacityJM3K, 1850.0 * 1100.0, 0.05 * kBoardHeatCapacityJM3K);
}

TEST(PlateOf, TakesWhatTheCaseGivesAndDefaultsTheRest) {
  Case job;
  job.thickness_mm = 1.2;
  job.film_w_m2k = 8;
  const Plate plate = PlateOf(job);
  EXPECT_DOUBLE_EQ(plate.thickness_m, 1.2e-3);
  EXPECT_DOUBLE_EQ(plate.film_w_m2k, 16);  // Both faces.
  EXPECT_NEAR(plate.heat_capacity_j_m2k, 1.2e-3 * kBoardHeatCapacityJM3K, 1e-9);
  job.heat_capacity_j_m2k = 2000;
  job.sheet_conductance_w_k = 0.04;
  EXPECT_EQ(PlateOf(job).heat_capacity_j_m2k, 2000);
  EXPECT_EQ(PlateOf(job).sheet_conductance_w_k, 0.04);
}

}  // namespace
}  // namespace ohmglow
