// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/growth.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/decompose.h"

namespace ohmglow {
namespace {

// Lags around the candidate's own, so that the middle may be quick and the
// surroundings slow.
constexpr std::array kLagFactors = {0.3, 1.0, 3.0};
constexpr double kPeakSigmaPx = 0.8;

// Fitted heat, unprojected: bins x lags times lags x pixels.
struct HeatFit {
  Eigen::MatrixXd shapes;     // bins x lags, the heat itself
  Eigen::MatrixXd projected;  // bins x lags, as the courses see it
  Eigen::MatrixXd inverse;    // lags x lags
};

// The course at the middle: what is fitted and, bin by bin, its standard error.
struct PeakFit {
  Eigen::VectorXd fit_k;
  Eigen::VectorXd sigma_k;
};

HeatFit PrepareFit(const TemporalModel& model, const Drive& drive, double lag_s, double exponent) {
  HeatFit fit;
  const auto n = static_cast<Eigen::Index>(kLagFactors.size());
  fit.shapes.resize(model.num_bins(), n);
  fit.projected.resize(model.num_bins(), n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double own_s = std::clamp(lag_s * kLagFactors[static_cast<std::size_t>(i)], 0.1, 30.0);
    fit.shapes.col(i) = model.BinnedLag(drive, own_s, exponent);
    fit.projected.col(i) = model.Project(model.Weighted(fit.shapes.col(i)));
  }
  Eigen::MatrixXd normal = fit.projected.transpose() * fit.projected;
  // Near-collinear lags must stay solvable; a stronger ridge would read heat too high.
  normal.diagonal() *= 1 + 1e-6;
  fit.inverse = Inverse(normal);
  return fit;
}

// What white noise leaves of the fit; more where the rest is larger than that.
// peak_k: fitted heat plus what the fit leaves over.
PeakFit FitOfPeak(const HeatFit& fit,
                  const Eigen::MatrixXd& shapes,
                  const Eigen::VectorXd& amplitude,
                  const Eigen::VectorXd& peak_k,
                  const TemporalModel& model,
                  double noise_k) {
  PeakFit out;
  out.fit_k = shapes * amplitude;
  const double rest = model.Weighted(peak_k - out.fit_k).squaredNorm();
  const double degrees = std::max<double>(
      1, static_cast<double>(model.num_bins() - model.num_nuisances() - fit.shapes.cols()));
  const double spread_k = std::max(noise_k, std::sqrt(rest / degrees));
  const Eigen::VectorXd variance =
      (shapes * fit.inverse).cwiseProduct(shapes).rowwise().sum().cwiseMax(0);
  out.sigma_k = spread_k * variance.cwiseSqrt();
  return out;
}

}  // namespace

Growth MeasureGrowth(const Response& response,
                     const TemporalModel& model,
                     const Drive& drive,
                     Point center_px,
                     double mm_per_pixel,
                     double lag_s,
                     double exponent) {
  const HeatFit fit = PrepareFit(model, drive, lag_s, exponent);
  const Eigen::MatrixXd shapes = fit.shapes.rowwise() - fit.shapes.row(0);
  const int num_bins = model.num_bins();
  const int reach = static_cast<int>(kGrowthReachMm / mm_per_pixel);
  Eigen::VectorXd peak = Eigen::VectorXd::Zero(num_bins);
  Eigen::VectorXd peak_amplitude = Eigen::VectorXd::Zero(fit.shapes.cols());
  double peak_weight = 0;
  Eigen::VectorXd heat = Eigen::VectorXd::Zero(num_bins);
  std::vector<Eigen::VectorXd> pixels;
  const int cx = cvRound(center_px.x);
  const int cy = cvRound(center_px.y);
  const Mask& seen = response.seen;
  for (int y = std::max(0, cy - reach); y <= std::min(seen.rows - 1, cy + reach); ++y) {
    for (int x = std::max(0, cx - reach); x <= std::min(seen.cols - 1, cx + reach); ++x) {
      const double r = std::hypot(x - center_px.x, y - center_px.y);
      if (seen(y, x) == 0 || r > reach) continue;
      const Eigen::VectorXd course = response.courses.col(y * seen.cols + x).cast<double>();
      const Eigen::VectorXd amplitude = fit.inverse * (fit.projected.transpose() * course);
      // Fitted heat plus what the fit leaves over: the measurement freed of nuisance.
      const Eigen::VectorXd rest =
          (course - fit.projected * amplitude).cwiseQuotient(model.weight());
      const Eigen::VectorXd rise = shapes * amplitude + rest;
      const double weight = std::exp(-0.5 * r * r / (kPeakSigmaPx * kPeakSigmaPx));
      peak += weight * rise;
      peak_amplitude += weight * amplitude;
      peak_weight += weight;
      heat += rise;
      pixels.push_back(shapes * amplitude);
    }
  }
  Growth growth;
  if (peak_weight <= 0) return growth;
  peak /= peak_weight;
  peak_amplitude /= peak_weight;
  const double largest = std::max(peak.maxCoeff(), 1e-9);
  const double pixel_mm2 = mm_per_pixel * mm_per_pixel;
  const double noise_k = response.noise_median_k / std::sqrt(4 * M_PI) / kPeakSigmaPx;
  const PeakFit peak_fit = FitOfPeak(fit, shapes, peak_amplitude, peak, model, noise_k);
  for (int b = 0; b < num_bins; ++b) {
    GrowthPoint point;
    point.time_s = model.bin_times_s()[static_cast<std::size_t>(b)];
    point.amps_a = drive.AmpsAt(point.time_s);
    point.rise_k = peak(b);
    point.heat_k_mm2 = heat(b) * pixel_mm2;
    point.fit_k = peak_fit.fit_k(b);
    point.fit_sigma_k = peak_fit.sigma_k(b);
    const auto warm = std::count_if(
        pixels.begin(), pixels.end(), [&](const auto& rise) { return rise(b) > 0.5 * largest; });
    point.area_mm2 = static_cast<double>(warm) * pixel_mm2;
    if (!growth.onset_s && b + 1 < num_bins && peak(b) > 3 * noise_k / model.weight()(b) &&
        peak(b + 1) > 3 * noise_k / model.weight()(b + 1) && drive.AmpsAt(point.time_s) > 0) {
      growth.onset_s = point.time_s;
    }
    growth.points.push_back(point);
  }
  return growth;
}

}  // namespace ohmglow
