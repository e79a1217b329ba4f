// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_model.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace ohmglow {
namespace {

// Rings reach as far as heat travels between two steps of the current.
constexpr double kReachMm = 12;
constexpr double kRingMm = 0.6;
constexpr int kSlabModes = 6;
constexpr int kNumLags = 80;
constexpr int kNumFrequencies = 120;
// Lateral conductance from bare laminate to four full planes [W/K].
constexpr double kLeastSheetWK = 0.0012;
constexpr double kMostSheetWK = 0.08;
constexpr int kNumSheets = 12;
constexpr std::array kSourceMm = {0.3, 0.8, 1.5, 2.5, 4.0, 6.0};
constexpr std::array kPartLagS = {0.0, 0.4, 0.8, 1.5, 3.0};
constexpr std::array kNearShares = {0.0, 0.15, 0.3, 0.6, 1.0};
// Neighbouring pixels share blur and heat: this many count as one.
constexpr double kPixelsPerIndependent = 4;

struct Trial {
  double power_w;
  double chi2;
  bool far;
  double sheet_w_k;
  double source_mm;
  double lag_s;
};

}  // namespace

SpotModel::SpotModel(const TemporalModel& model,
                     const Drive& drive,
                     const PlatePrior& prior,
                     double exponent)
    : prior_(prior) {
  const double slowest_s = 3 * prior.plate.heat_capacity_j_m2k / prior.plate.film_w_m2k;
  log_tau_ = Eigen::VectorXd::LinSpaced(kNumLags, std::log(0.01), std::log(slowest_s));
  Eigen::MatrixXd responses(model.num_bins(), kNumLags);
  for (int i = 0; i < kNumLags; ++i) {
    responses.col(i) = model.ProjectedLag(drive, std::exp(log_tau_(i)), exponent);
  }
  const Eigen::BDCSVD<Eigen::MatrixXd> svd(responses, Eigen::ComputeThinU);
  const auto rank = std::max<Eigen::Index>(
      1, (svd.singularValues().array() > 1e-4 * svd.singularValues()(0)).count());
  basis_ = svd.matrixU().leftCols(rank);
  lag_modes_ = basis_.transpose() * responses;

  // Frequencies spaced evenly in the logarithm: dk = k dlog(k).
  const Eigen::VectorXd log_k =
      Eigen::VectorXd::LinSpaced(kNumFrequencies, std::log(15.0), std::log(9000.0));
  k_rad_m_ = log_k.array().exp();
  k_weight_ = k_rad_m_.array().square() * ((log_k(1) - log_k(0)) / (2 * std::numbers::pi));
  BuildKernels();
}

Eigen::VectorXd SpotModel::LagModes(double tau_s) const {
  const double step = log_tau_(1) - log_tau_(0);
  const double at = std::clamp(
      (std::log(tau_s) - log_tau_(0)) / step, 0.0, static_cast<double>(kNumLags - 1) - 1e-9);
  const auto low = static_cast<Eigen::Index>(at);
  const double share = at - static_cast<double>(low);
  return (1 - share) * lag_modes_.col(low) + share * lag_modes_.col(low + 1);
}

Eigen::VectorXd SpotModel::CascadeModes(double tau_s, double part_lag_s) const {
  if (part_lag_s <= 0) return LagModes(tau_s);
  // Two lags in a row are the difference of the two, by partial fractions;
  // equal ones are parted a little.
  double other_s = part_lag_s;
  if (std::abs(other_s - tau_s) < 0.02 * tau_s) other_s = 1.02 * tau_s;
  return (tau_s * LagModes(tau_s) - other_s * LagModes(other_s)) / (tau_s - other_s);
}

void SpotModel::BuildKernels() {
  std::vector<double> sheets;
  if (prior_.sheet_known) {
    for (const double f : {0.8, 1.0, 1.25}) {
      sheets.push_back(f * prior_.plate.sheet_conductance_w_k);
    }
  } else {
    for (int i = 0; i < kNumSheets; ++i) {
      sheets.push_back(kLeastSheetWK *
                       std::pow(kMostSheetWK / kLeastSheetWK, i / (kNumSheets - 1.0)));
    }
  }
  for (const double sheet : sheets) {
    Plate plate = prior_.plate;
    plate.sheet_conductance_w_k = sheet;
    for (const double lag_s : kPartLagS) {
      Kernel kernel{sheet,
                    lag_s,
                    Eigen::MatrixXd::Zero(basis_.cols(), kNumFrequencies),
                    Eigen::MatrixXd::Zero(basis_.cols(), kNumFrequencies),
                    Eigen::MatrixXd::Zero(basis_.cols(), kNumFrequencies)};
      for (int i = 0; i < kNumFrequencies; ++i) {
        for (int n = 0; n <= kSlabModes; ++n) {
          const double rate = plate.DecayRate(k_rad_m_(i), n);
          const Eigen::VectorXd term =
              CascadeModes(1 / rate, lag_s) / (plate.heat_capacity_j_m2k * rate);
          if (n == 0) {
            kernel.thin.col(i) = term;
          } else {
            kernel.through.col(i) += 2 * term;
            kernel.far.col(i) += (n % 2 == 0 ? 2 : -2) * term;
          }
        }
      }
      kernels_.push_back(std::move(kernel));
    }
  }
}

SpotModel::Rings SpotModel::MeasureRings(const Eigen::MatrixXf& courses,
                                         const Mask& seen,
                                         Point center_px,
                                         double mm) const {
  const double first_mm = 0.7 * mm;
  const double ring_mm = std::max(mm, kRingMm);
  const int num_rings = 1 + static_cast<int>((kReachMm - first_mm) / ring_mm);
  Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(courses.rows(), num_rings);
  Eigen::VectorXd count = Eigen::VectorXd::Zero(num_rings);
  Eigen::VectorXd square_mm2 = Eigen::VectorXd::Zero(num_rings);
  const int reach_px = static_cast<int>(kReachMm / mm) + 1;
  const int cx = cvRound(center_px.x);
  const int cy = cvRound(center_px.y);
  for (int y = std::max(0, cy - reach_px); y <= std::min(seen.rows - 1, cy + reach_px); ++y) {
    for (int x = std::max(0, cx - reach_px); x <= std::min(seen.cols - 1, cx + reach_px); ++x) {
      if (seen(y, x) == 0) continue;
      const double r_mm = mm * std::hypot(x - center_px.x, y - center_px.y);
      const int ring = r_mm < first_mm ? 0 : 1 + static_cast<int>((r_mm - first_mm) / ring_mm);
      if (ring >= num_rings) continue;
      sum.col(ring) += courses.col(y * seen.cols + x).cast<double>();
      count(ring) += 1;
      square_mm2(ring) += r_mm * r_mm;
    }
  }
  Rings rings;
  std::vector<int> kept;
  for (int i = 0; i < num_rings; ++i) {
    if (count(i) > 0) kept.push_back(i);
  }
  const auto n = static_cast<Eigen::Index>(kept.size());
  rings.mean.resize(basis_.cols(), n);
  rings.radius_m.resize(n);
  rings.num_pixels.resize(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const int ring = kept[static_cast<std::size_t>(i)];
    rings.mean.col(i) = basis_.transpose() * sum.col(ring) / count(ring);
    rings.radius_m(i) = 1e-3 * std::sqrt(square_mm2(ring) / count(ring));
    rings.num_pixels(i) = count(ring);
  }
  return rings;
}

SpotFit SpotModel::Fit(const Eigen::MatrixXf& courses,
                       const Mask& seen,
                       Point center_px,
                       double mm_per_pixel,
                       double noise_k) const {
  SpotFit fit;
  const Rings rings = MeasureRings(courses, seen, center_px, mm_per_pixel);
  const Eigen::Index num_rings = rings.radius_m.size();
  if (num_rings < 3) return fit;
  const Eigen::RowVectorXd weight = rings.num_pixels.transpose();
  const double whole = (rings.mean.array().square().rowwise() * weight.array()).sum();

  Eigen::MatrixXd bessel(k_rad_m_.size(), num_rings);
  for (Eigen::Index i = 0; i < k_rad_m_.size(); ++i) {
    for (Eigen::Index j = 0; j < num_rings; ++j) {
      bessel(i, j) = std::cyl_bessel_j(0.0, k_rad_m_(i) * rings.radius_m(j));
    }
  }
  std::vector<Trial> trials;
  const double blur_m = prior_.blur_px * mm_per_pixel * 1e-3;
  for (const double source_mm : kSourceMm) {
    const double variance = 1e-6 * source_mm * source_mm + blur_m * blur_m;
    const Eigen::ArrayXd shape =
        k_weight_.array() * (-0.5 * variance * k_rad_m_.array().square()).exp();
    const Eigen::MatrixXd to_rings = shape.matrix().asDiagonal() * bessel;
    for (const Kernel& kernel : kernels_) {
      const Eigen::MatrixXd thin = kernel.thin * to_rings;
      const Eigen::MatrixXd through = kernel.through * to_rings;
      const auto attempt = [&](const Eigen::MatrixXd& rise, bool far) {
        const auto weighted = rise.array().rowwise() * weight.array();
        const double strength = (weighted * rise.array()).sum();
        const double match = (weighted * rings.mean.array()).sum();
        if (match <= 0 || strength <= 0) return;
        trials.push_back({match / strength,
                          whole - match * match / strength,
                          far,
                          kernel.sheet_conductance_w_k,
                          source_mm,
                          kernel.part_lag_s});
      };
      for (const double share : kNearShares) attempt(thin + share * through, false);
      attempt(thin + kernel.far * to_rings, true);
    }
  }
  if (trials.empty()) return fit;
  const auto best = std::min_element(
      trials.begin(), trials.end(), [](const Trial& a, const Trial& b) { return a.chi2 < b.chi2; });
  fit.sheet_conductance_w_k = best->sheet_w_k;
  fit.source_mm = best->source_mm;
  fit.part_lag_s = best->lag_s;
  fit.explained = whole > 0 ? 1 - best->chi2 / whole : 0;
  // Real boards are patchy: what the best round model leaves over counts as
  // noise, spread over blobs of pixels, so that no likelihood is overstated.
  const double degrees = std::max<double>(1, static_cast<double>(basis_.cols() * num_rings) - 5);
  const double noise2 = std::max(noise_k * noise_k, best->chi2 / degrees) * kPixelsPerIndependent;
  double norm = 0;
  double mean = 0;
  double square = 0;
  for (const Trial& trial : trials) {
    const double weight_of = std::exp(-0.5 * (trial.chi2 - best->chi2) / noise2);
    const double log_power = std::log(trial.power_w);
    norm += weight_of;
    mean += weight_of * log_power;
    square += weight_of * log_power * log_power;
    double& side = trial.far ? fit.far_log_likelihood : fit.near_log_likelihood;
    side = std::max(side, -0.5 * (trial.chi2 - best->chi2) / noise2);
  }
  mean /= norm;
  fit.power_w = std::exp(mean);
  fit.power_log_sigma = std::sqrt(std::max(0.0, square / norm - mean * mean));
  return fit;
}

double SpotModel::StrengthPerWatt(double mm_per_pixel, double sigma_px) const {
  // A body of about 2 mm on a plate of middling copper, half of the early
  // heat still on the near side.
  constexpr double kBodyMm = 0.8;
  constexpr double kNearShare = 0.3;
  const double sigma_m = 1e-3 * mm_per_pixel * std::hypot(sigma_px, prior_.blur_px);
  const double variance = 1e-6 * kBodyMm * kBodyMm + sigma_m * sigma_m;
  const Eigen::VectorXd to_center =
      k_weight_.array() * (-0.5 * variance * k_rad_m_.array().square()).exp();
  const auto middle =
      static_cast<std::size_t>((kernels_.size() / kPartLagS.size() / 2) * kPartLagS.size());
  const Kernel& kernel = kernels_[middle];
  return ((kernel.thin + kNearShare * kernel.through) * to_center).norm();
}

}  // namespace ohmglow
