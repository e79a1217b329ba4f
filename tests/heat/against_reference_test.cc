// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "heat/plate.h"
#include "heat/reference_solver.h"
#include "heat/source_courses.h"
#include "heat/temporal_model.h"
#include "rank/spot_model.h"
#include "support/scene.h"

// What the product takes for the course of heat in a board, against the
// numerical solution of reference_solver.h, itself tested beside this.
namespace ohmglow {
namespace {

using std::numbers::pi;
using testing::GaussianShares;
using testing::GrowingEdges;
using testing::ReferenceLayer;
using testing::ReferenceSolver;
using testing::ReferenceStack;
using testing::Steps;

constexpr double kNearError = 0.03;   // What is asked of a matched plate.
constexpr double kFaintError = 0.21;  // Models about the true one, not evenly.
constexpr double kFarError = 0.15;

// The slab that a plate stands for: its conductance spread over the thickness,
// cut finely under the heated face, where the early heat of a small source is.
ReferenceStack SlabOf(const Plate& plate) {
  const double capacity_j_m3k = plate.heat_capacity_j_m2k / plate.thickness_m;
  const double plane_w_mk = plate.sheet_conductance_w_k / plate.thickness_m;
  constexpr double kFirst = 1.0 / 400;
  constexpr double kGrowth = 1.25;
  constexpr double kThickest = 1.0 / 20;
  ReferenceStack stack;
  double share = kFirst;
  for (double left = 1; left > 1e-9; left -= share) {
    const double next = stack.layers.empty() ? share : std::min(kGrowth * share, kThickest);
    share = left < 1.5 * next ? left : next;
    stack.layers.push_back({share * plate.thickness_m,
                            plane_w_mk,
                            plane_w_mk,
                            kThroughDiffusivityM2S * capacity_j_m3k,
                            capacity_j_m3k});
  }
  stack.film_top_w_m2k = 0.5 * plate.film_w_m2k;
  stack.film_bottom_w_m2k = stack.film_top_w_m2k;
  return stack;
}

// Rises per watt of a source in a slab at times one step apart: radii x times,
// on the face of the source, the other face, and in the mean of the thickness.
struct Film {
  std::vector<double> radius_m;
  Eigen::MatrixXd near, far, mean;
};

// `power` is the share of the full power in each step.
Film FilmOf(const ReferenceStack& stack,
            double sigma_m,
            double step_s,
            const Eigen::VectorXd& power) {
  const std::vector<double> edges = GrowingEdges(0.1e-3, 4e-3, 1.06, 0.25);
  ReferenceSolver slab = ReferenceSolver::Rings(stack, edges);
  const Eigen::VectorXd shares = GaussianShares(edges, sigma_m);
  const Eigen::Index rings = shares.size();
  const auto layers = static_cast<Eigen::Index>(stack.layers.size());
  Film film;
  Eigen::VectorXd flux(rings);
  for (Eigen::Index i = 0; i < rings; ++i) {
    const double a = edges[static_cast<std::size_t>(i)];
    const double b = edges[static_cast<std::size_t>(i) + 1];
    film.radius_m.push_back(0.5 * (a + b));
    flux(i) = shares(i) / (pi * (b * b - a * a));
  }
  const ReferenceLayer& top = stack.layers.front();
  const Eigen::VectorXd to_face_k =
      flux * (0.5 * top.thickness_m / top.kz_w_mk);  // The flux crosses half a layer.
  double whole_m = 0;
  for (const ReferenceLayer& layer : stack.layers) whole_m += layer.thickness_m;
  for (Eigen::MatrixXd* out : {&film.near, &film.far, &film.mean}) out->resize(rings, power.size());
  Eigen::VectorXd heat = Eigen::VectorXd::Zero(slab.rise_k.size());
  for (Eigen::Index n = 0; n < power.size(); ++n) {
    heat.head(rings) = power(n) * shares;
    constexpr int kSubSteps = 4;
    for (int i = 0; i < kSubSteps; ++i) slab.Step(step_s / kSubSteps, heat);
    film.near.col(n) = slab.rise_k.head(rings) + power(n) * to_face_k;
    film.far.col(n) = slab.rise_k.tail(rings);
    film.mean.col(n).setZero();
    for (Eigen::Index l = 0; l < layers; ++l) {
      film.mean.col(n) += stack.layers[static_cast<std::size_t>(l)].thickness_m / whole_m *
                          slab.rise_k.segment(l * rings, rings);
    }
  }
  return film;
}

double AtRadius(const Film& film, const Eigen::VectorXd& rise, double r_m) {
  if (r_m <= film.radius_m.front()) return rise(0);
  std::size_t i = 0;
  while (film.radius_m[i + 1] < r_m) ++i;
  const double share = (r_m - film.radius_m[i]) / (film.radius_m[i + 1] - film.radius_m[i]);
  const auto at = static_cast<Eigen::Index>(i);
  return (1 - share) * rise(at) + share * rise(at + 1);
}

TEST(PointSourceRise, AgreesWithTheNumericalPlate) {
  Plate plate;
  const std::vector<double> edges = GrowingEdges(0.1e-3, 20e-3, 1.05, 0.3);
  for (const double sheet_w_k : {0.003, 0.015, 0.06}) {
    plate.sheet_conductance_w_k = sheet_w_k;
    ReferenceSolver solver = ReferenceSolver::Rings(
        testing::ThinPlate(sheet_w_k, sheet_w_k, plate.heat_capacity_j_m2k, plate.film_w_m2k),
        edges);
    Eigen::VectorXd heat = Eigen::VectorXd::Zero(solver.rise_k.size());
    heat(0) = 0.1;
    for (int i = 1; i <= 800; ++i) {
      solver.Step(0.05, heat);
      if (i != 200 && i != 800) continue;
      for (const int ring : {20, 50, 120}) {
        const double r_m = (ring + 0.5) * 0.1e-3;
        const double rise_k = PointSourceRise(plate, 0.1, r_m, 0.05 * i);
        EXPECT_NEAR(rise_k, solver.rise_k(ring), 0.003 * rise_k) << sheet_w_k << " " << r_m;
      }
    }
  }
}

// A ripple along the board and across it dies at the stated rate in a slab that
// loses nothing; with the usual film the mean of the thickness is a little
// slower, as its face is colder than its middle: H L/(6 k) of H/C, 1.6 %.
TEST(DecayRate, IsThatOfTheNumericalSlab) {
  constexpr int kCells = 20;
  constexpr double kCellM = 0.25e-3;
  constexpr int kLayers = 32;
  Plate plate;
  for (const double film_w_m2k : {0.0, 20.0}) {
    plate.film_w_m2k = film_w_m2k;
    const double capacity_j_m3k = plate.heat_capacity_j_m2k / plate.thickness_m;
    const ReferenceStack slab = testing::EvenSlab(kLayers,
                                                  plate.thickness_m,
                                                  plate.sheet_conductance_w_k / plate.thickness_m,
                                                  kThroughDiffusivityM2S * capacity_j_m3k,
                                                  capacity_j_m3k,
                                                  0.5 * film_w_m2k);
    for (const int mode : {0, 1, 3}) {
      for (const int waves : {0, 1}) {
        ReferenceSolver solver = ReferenceSolver::Box(slab, kCells, 1, kCellM);
        const double k_rad_m = waves * pi / (kCells * kCellM);
        for (int l = 0; l < kLayers; ++l) {
          for (int x = 0; x < kCells; ++x) {
            solver.rise_k(l * kCells + x) =
                std::cos(k_rad_m * (x + 0.5) * kCellM) * std::cos(mode * pi * (l + 0.5) / kLayers);
          }
        }
        const double rate = plate.DecayRate(k_rad_m, mode);
        if (rate <= 0) continue;  // The whole board without loss: nothing dies.
        const double before_k = solver.rise_k(0);
        const double span_s = 0.5 / rate;
        const Eigen::VectorXd none = Eigen::VectorXd::Zero(solver.rise_k.size());
        for (int i = 0; i < 40; ++i) solver.Step(span_s / 40, none);
        const double measured = std::log(before_k / solver.rise_k(0)) / span_s;
        // A film turns a cosine into one that is colder at its ends.
        const double tolerance = film_w_m2k > 0 ? 0.04 : 0.01;
        EXPECT_NEAR(measured, rate, tolerance * rate) << film_w_m2k << " " << mode << " " << waves;
      }
    }
  }
}

// Index of a kind without part in MakeSourceCourses().
Eigen::Index KindOf(int sheet, int size, int through) {
  return ((sheet * 3 + size) * 3) * 3 + through;
}

// After a step of power, at the middle of a Gaussian source: the mean over the
// thickness, the mean of that and the heated face, and the other face.
TEST(SourceCourses, AreThoseOfTheNumericalSlab) {
  constexpr double kStepS = 0.1;
  constexpr double kSheetsWK[] = {0.003, 0.01, 0.03};
  constexpr double kSizesMm[] = {0.5, 2.0, 4.0};
  Plate plate;
  const SourceCourses courses = MakeSourceCourses(plate);
  const Eigen::VectorXd power = Eigen::VectorXd::Ones(200);
  for (const int sheet : {0, 2}) {
    for (const int size : {0, 2}) {
      plate.sheet_conductance_w_k = kSheetsWK[sheet];
      const Film film = FilmOf(SlabOf(plate), 1e-3 * kSizesMm[size], kStepS, power);
      const Eigen::VectorXd mean = film.mean.row(0);
      const Eigen::VectorXd near = film.near.row(0);
      const Eigen::VectorXd far = film.far.row(0);
      for (int through = 0; through < 3; ++through) {
        const Eigen::VectorXd truth = through == 0   ? mean
                                      : through == 1 ? 0.5 * (mean + near)
                                                     : far;
        Eigen::VectorXd model(power.size());
        for (Eigen::Index n = 0; n < power.size(); ++n) {
          const double time_s = kStepS * static_cast<double>(n + 1);
          model(n) = courses.mixture.col(KindOf(sheet, size, through))
                         .dot((1 - (-time_s / courses.lags_s.array()).exp()).matrix());
        }
        model *= model.dot(truth) / model.squaredNorm();
        EXPECT_LT((model - truth).norm(), 0.01 * truth.norm())
            << kSheetsWK[sheet] << " " << kSizesMm[size] << " " << through;
      }
    }
  }
}

const Steps kSteps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};
const cv::Size kSize(96, 72);
const Point kCenterPx{48, 36};
constexpr double kFrameS = 0.125;
constexpr int kNumFrames = 320;
constexpr int kFramesPerBin = 4;
constexpr double kMmPerPixel = 0.5;
constexpr double kSourceMm = 0.8;
constexpr double kBlurPx = 0.02;  // None: the picture below has no optics.
constexpr double kNoiseK = 0.05;

Eigen::VectorXd PowerOfSteps() {
  Eigen::VectorXd power(kNumFrames);
  for (int i = 0; i < kNumFrames; ++i) {
    double amps = 0;
    for (const auto& [start_s, level_a] : kSteps) {
      if ((i + 0.5) * kFrameS >= start_s) amps = level_a;
    }
    power(i) = amps * amps / 4;
  }
  return power;
}

// A capture of 40 s of a source of one watt, and the model that fits it.
struct Capture {
  Capture(const ReferenceStack& board, const Plate& plate, bool sheet_known = true)
      : stack(testing::StillStack(kSize, kNumFrames / kFramesPerBin, kFramesPerBin, kFrameS)),
        temporal(stack, {}),
        drive(testing::StepLog(kSteps, 40), 0),
        spots(temporal, drive, {plate, sheet_known, kBlurPx}),
        film(FilmOf(board, 1e-3 * kSourceMm, kFrameS, PowerOfSteps())) {}

  // Bin means, weighted and projected: bins x radii. Column i of the film is
  // frame i + 1.
  [[nodiscard]] Eigen::MatrixXd Courses(const Eigen::MatrixXd& rises) const {
    Eigen::MatrixXd out(temporal.num_bins(), rises.rows());
    for (Eigen::Index r = 0; r < rises.rows(); ++r) {
      Eigen::VectorXd binned = Eigen::VectorXd::Zero(temporal.num_bins());
      for (int i = 1; i < kNumFrames; ++i) {
        binned(i / kFramesPerBin) += rises(r, i - 1) / kFramesPerBin;
      }
      out.col(r) = temporal.Project(temporal.Weighted(binned));
    }
    return out;
  }

  [[nodiscard]] SpotFit Fit(const Eigen::MatrixXd& rises, double power_w, unsigned seed) const {
    const Eigen::MatrixXd courses = Courses(rises);
    std::mt19937 random(seed);
    std::normal_distribution<float> normal(0.0F, static_cast<float>(kNoiseK));
    Eigen::MatrixXf pixels(temporal.num_bins(), kSize.area());
    for (Eigen::Index i = 0; i < pixels.size(); ++i) pixels.data()[i] = normal(random);
    temporal.ProjectColumns(pixels);
    for (int y = 0; y < kSize.height; ++y) {
      for (int x = 0; x < kSize.width; ++x) {
        const double r_m = 1e-3 * kMmPerPixel * std::hypot(x - kCenterPx.x, y - kCenterPx.y);
        for (Eigen::Index b = 0; b < courses.rows(); ++b) {
          pixels(b, y * kSize.width + x) +=
              static_cast<float>(power_w * AtRadius(film, courses.row(b), r_m));
        }
      }
    }
    return spots.Fit(spots.ToModes(pixels),
                     Mask(kSize, static_cast<unsigned char>(255)),
                     kCenterPx,
                     {kMmPerPixel, 12, kNoiseK, false});
  }

  Stack stack;
  TemporalModel temporal;
  Drive drive;
  SpotModel spots;
  Film film;
};

Plate PlateOfSheet(double sheet_w_k) {
  Plate plate;
  plate.sheet_conductance_w_k = sheet_w_k;
  return plate;
}

// 100 mW on either face, known plate, noise of 50 mK a frame.
TEST(SpotModel, MeasuresAMatchedSource) {
  for (const double sheet_w_k : {0.004, 0.015, 0.04}) {
    const Plate plate = PlateOfSheet(sheet_w_k);
    const Capture capture(SlabOf(plate), plate);
    EXPECT_NEAR(capture.Fit(capture.film.near, 0.1, 5001).power_w, 0.1, 0.1 * kNearError)
        << sheet_w_k;
    EXPECT_NEAR(capture.Fit(capture.film.far, 0.1, 5002).power_w, 0.1, 0.1 * kFarError)
        << sheet_w_k;
  }
}

// 1 mW near: the mean over captures. The fit is a mean over all models that the
// noise leaves open, which are not even about the true one.
TEST(SpotModel, MeasuresAMilliwattNear) {
  for (const double sheet_w_k : {0.004, 0.015}) {
    const Plate plate = PlateOfSheet(sheet_w_k);
    const Capture capture(SlabOf(plate), plate);
    double mean_w = 0;
    constexpr unsigned kCaptures = 4;
    for (unsigned i = 0; i < kCaptures; ++i) {
      mean_w += capture.Fit(capture.film.near, 1e-3, 5010 + i).power_w / kCaptures;
    }
    EXPECT_NEAR(mean_w, 1e-3, 1e-3 * kFaintError) << sheet_w_k;
  }
}

// Copper as boards have it, in two planes under 0.2 mm of laminate, which no
// even slab is: 100 mW, and the plate's conductance left to the fit. Laminate
// 1.059 and 0.343 W/(m K) (Sarvar et al. 1990), copper 401 W/(m K), 3.44e6
// J/(m3 K) (Incropera et al., Table A.1), three quarters of it there.
ReferenceStack BoardOfPlanes() {
  const ReferenceLayer laminate{0, 1.059, 1.059, 0.343, 2.0e6};
  const ReferenceLayer copper{35e-6, 300, 300, 300, 3.44e6};
  ReferenceStack stack;
  const auto add = [&](int count, double thickness_m) {
    for (int i = 0; i < count; ++i) {
      stack.layers.push_back(laminate);
      stack.layers.back().thickness_m = thickness_m / count;
    }
  };
  add(10, 0.2e-3);
  stack.layers.push_back(copper);
  add(12, 1.1e-3);
  stack.layers.push_back(copper);
  add(5, 0.2e-3);
  stack.film_top_w_m2k = stack.film_bottom_w_m2k = 10;
  return stack;
}

TEST(SpotModel, MeasuresASourceOnABoardOfPlanes) {
  Plate plate;
  plate.thickness_m = 1.57e-3;
  plate.heat_capacity_j_m2k = 1.5e-3 * 2.0e6 + 2 * 35e-6 * 3.44e6;
  plate.sheet_conductance_w_k = 2 * 35e-6 * 300 + 1.5e-3 * 1.059;
  for (const bool known : {true, false}) {
    const Capture capture(BoardOfPlanes(), plate, known);
    const SpotFit near = capture.Fit(capture.film.near, 0.1, 5020);
    const SpotFit far = capture.Fit(capture.film.far, 0.1, 5021);
    EXPECT_NEAR(near.power_w, 0.1, 0.025) << known;
    EXPECT_NEAR(far.power_w, 0.1, 0.025) << known;
    EXPECT_EQ(near.near_log_likelihood, 0) << known;
    EXPECT_EQ(far.far_log_likelihood, 0) << known;
  }
}

}  // namespace
}  // namespace ohmglow
