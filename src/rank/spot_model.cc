// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_model.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/decompose.h"
#include "base/in_parallel.h"
#include "heat/row_mix.h"
#include "rank/log_mean.h"
#include "rank/patchy_noise.h"

namespace ohmglow {
namespace {

constexpr double kRingMm = 0.6;
constexpr int kNumLags = 80;
constexpr int kNumFrequencies = 90;
constexpr std::array kSourceMm = {0.3, 0.8, 1.5, 2.5, 4.0, 6.0};
constexpr std::array kNearShares = {0.15, 0.3, 0.6, 1.0};
// Between body and board, while the flow below a moulded body builds up.
constexpr double kBodyLagS = 0.8;
constexpr double kBodyLagLogSigma = 0.5;
constexpr double kBodyNoLagLog = -1.2;
// The frames' common offset, which is taken out, is what the quiet quarter of
// the picture shows; heat reaches it too: about this far away.
constexpr double kQuietMm = 22;

// Marks the far side among the shares of the slab's higher modes.
constexpr double kFarShare = -1;
// Log errors that stay when all noise is gone: of the fit of a round spot on
// an even plate, for itself and for each part of misfit, and of the energy balance.
constexpr double kFitError = 0.1;
constexpr double kErrorOfMisfit = 0.5;
constexpr double kFormReachMm = 16;
// What warms on the face itself lags no more; its shares of the slab's higher modes.
constexpr double kMostLagOfFaceS = 0.5;
constexpr std::array kFaceShares = {0.15, 0.6};
// Radii at which a fitted spot is kept for taking it out of the picture.
constexpr int kNumProfileRadii = 60;

Eigen::VectorXd BesselOver(const Eigen::VectorXd& k_rad_m, double radius_m) {
  return k_rad_m.unaryExpr([radius_m](double k) { return j0(k * radius_m); });
}

}  // namespace

SpotModel::SpotModel(const TemporalModel& model, const Drive& drive, const PlatePrior& prior)
    : prior_(prior) {
  const double slowest_s = 3 * prior.plate.heat_capacity_j_m2k / prior.plate.film_w_m2k;
  const Eigen::VectorXd log_tau =
      Eigen::VectorXd::LinSpaced(kNumLags, std::log(0.01), std::log(slowest_s));
  Eigen::MatrixXd responses(model.num_bins(), 2 * kNumLags);
  responses << model.ProjectedLags(drive, log_tau.array().exp(), 2),
      model.ProjectedLags(drive, log_tau.array().exp(), 1);
  basis_ = LeadingDirections(responses, 1e-4);

  // Frequencies spaced evenly in the logarithm: dk = k dlog(k).
  const Eigen::VectorXd log_k =
      Eigen::VectorXd::LinSpaced(kNumFrequencies, std::log(15.0), std::log(9000.0));
  k_rad_m_ = log_k.array().exp();
  k_weight_ = k_rad_m_.array().square() * ((log_k(1) - log_k(0)) / (2 * std::numbers::pi));

  profile_rings_ = ProfileRings(k_rad_m_);

  ohmic_.log_tau = junction_.log_tau = log_tau;
  ohmic_.lag_modes = basis_.transpose() * responses.leftCols(kNumLags);
  junction_.lag_modes = basis_.transpose() * responses.rightCols(kNumLags);
  const std::vector<PlateTrial> boards = SheetTrials(prior);
  ohmic_.BuildKernels(boards, k_rad_m_);
  junction_.BuildKernels(boards, k_rad_m_);
}

Eigen::MatrixXf SpotModel::ToModes(const Eigen::MatrixXf& courses) const {
  return basis_.cast<float>().transpose() * courses;
}

SpotModel::Rings SpotModel::MeasureRings(const Eigen::MatrixXf& modes,
                                         const Mask& seen,
                                         Point center_px,
                                         const View& view) const {
  const double mm = view.mm_per_pixel;
  const double first_mm = 0.7 * mm;
  const double ring_mm = std::max(mm, kRingMm);
  const int num_rings = 1 + static_cast<int>((view.reach_mm - first_mm) / ring_mm);
  Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(modes.rows(), num_rings);
  Eigen::VectorXd count = Eigen::VectorXd::Zero(num_rings);
  Eigen::VectorXd square_mm2 = Eigen::VectorXd::Zero(num_rings);
  const int reach_px = static_cast<int>(view.reach_mm / mm) + 1;
  const int cx = cvRound(center_px.x);
  const int cy = cvRound(center_px.y);
  for (int y = std::max(0, cy - reach_px); y <= std::min(seen.rows - 1, cy + reach_px); ++y) {
    for (int x = std::max(0, cx - reach_px); x <= std::min(seen.cols - 1, cx + reach_px); ++x) {
      if (seen(y, x) == 0) continue;
      const double r_mm = mm * std::hypot(x - center_px.x, y - center_px.y);
      const int ring = r_mm < first_mm ? 0 : 1 + static_cast<int>((r_mm - first_mm) / ring_mm);
      if (ring >= num_rings) continue;
      sum.col(ring) += modes.col(y * seen.cols + x).cast<double>();
      count(ring) += 1;
      square_mm2(ring) += r_mm * r_mm;
    }
  }
  Rings rings;
  std::vector<int> kept;
  for (int i = 0; i < num_rings; ++i) {
    const double outside_mm = i == 0 ? 0 : first_mm + (i - 1) * ring_mm;
    if (count(i) > 0 && outside_mm >= view.body_mm) kept.push_back(i);
  }
  const auto n = static_cast<Eigen::Index>(kept.size());
  rings.mean.resize(basis_.cols(), n);
  rings.radius_m.resize(n);
  rings.num_pixels.resize(n);
  rings.bessel.resize(k_rad_m_.size(), n);
  const Eigen::VectorXd quiet = BesselOver(k_rad_m_, 1e-3 * kQuietMm);
  for (Eigen::Index i = 0; i < n; ++i) {
    const int ring = kept[static_cast<std::size_t>(i)];
    rings.mean.col(i) = sum.col(ring) / count(ring);
    rings.radius_m(i) = 1e-3 * std::sqrt(square_mm2(ring) / count(ring));
    rings.num_pixels(i) = count(ring);
    rings.bessel.col(i) = BesselOver(k_rad_m_, rings.radius_m(i)) - quiet;
  }
  return rings;
}

Eigen::MatrixXd SpotModel::RingTransform(const Rings& rings,
                                         double source_mm,
                                         double blur_m) const {
  const double variance = 1e-6 * source_mm * source_mm + blur_m * blur_m;
  const Eigen::ArrayXd shape =
      k_weight_.array() * (-0.5 * variance * k_rad_m_.array().square()).exp();
  return shape.matrix().asDiagonal() * rings.bessel;
}

const SpotModel::Trial& SpotModel::BestOf(const std::vector<Trial>& trials) {
  return *std::min_element(
      trials.begin(), trials.end(), [](const Trial& a, const Trial& b) { return a.chi2 < b.chi2; });
}

void SpotModel::TrySource(const Eigen::MatrixXd& rises,
                          const Eigen::MatrixXd& seen,
                          const Trial& usual,
                          std::vector<Trial>& trials) {
  const Eigen::Index n = seen.rows();
  const auto dot = [](const auto& a, const auto& b) { return a.cwiseProduct(b).sum(); };
  const auto thin = rises.topRows(n);
  const double whole = seen.squaredNorm();
  const double thin_thin = thin.squaredNorm();
  const double thin_seen = dot(thin, seen);
  const auto attempt = [&](double match, double strength, double near_share, bool bare) {
    if (match <= 0 || strength <= 0) return;
    Trial trial = usual;
    trial.power_w = match / strength;
    trial.chi2 = whole - match * match / strength;
    trial.near_share = near_share;
    trial.bare = bare;
    trials.push_back(trial);
  };
  struct Joined {
    double with_seen, with_thin, with_itself;
  };
  const auto join = [&](Eigen::Index part) -> Joined {
    const auto other = rises.middleRows(part * n, n);
    return {dot(other, seen), dot(other, thin), other.squaredNorm()};
  };
  const auto joined = [&](const Joined& other, double share, double near_share, bool bare) {
    attempt(thin_seen + share * other.with_seen,
            thin_thin + share * (2 * other.with_thin + share * other.with_itself),
            near_share,
            bare);
  };
  attempt(thin_seen, thin_thin, 0, false);
  const Joined through = join(Kernel::kThrough);
  const Joined bare = join(Kernel::kBare);
  for (const double share : kNearShares) {
    joined(through, share, share, false);
    joined(bare, share, share, true);
  }
  joined(join(Kernel::kFar), 1, kFarShare, false);
}

// The rises themselves in single precision: their errors, of 1e-7, count only where the best
// model explains all but that.
std::vector<SpotModel::Trial> SpotModel::TryAll(const Rings& rings,
                                                const std::vector<Kernel>& kernels,
                                                double blur_m) const {
  // Each ring counts by its pixels.
  const auto root = rings.num_pixels.cwiseSqrt().asDiagonal();
  const Eigen::MatrixXd seen = rings.mean * root;
  const Eigen::Index num_rings = seen.cols();
  PixelRows to_rings(k_rad_m_.size(), num_rings * static_cast<Eigen::Index>(kSourceMm.size()));
  for (std::size_t i = 0; i < kSourceMm.size(); ++i) {
    to_rings.middleCols(static_cast<Eigen::Index>(i) * num_rings, num_rings) =
        (RingTransform(rings, kSourceMm[i], blur_m) * root).cast<float>();
  }
  // By source and kernel, each kernel on whatever thread is free.
  std::vector<std::vector<Trial>> tried(kSourceMm.size() * kernels.size());
  internal::InParallel(static_cast<int>(kernels.size()), [&](int n) {
    const auto kernel = static_cast<std::size_t>(n);
    const PixelRows rises = Mixed(kernels[kernel].parts.cast<float>(), to_rings);
    for (std::size_t i = 0; i < kSourceMm.size(); ++i) {
      const auto first = static_cast<Eigen::Index>(i) * num_rings;
      TrySource(rises.middleCols(first, num_rings).cast<double>(),
                seen,
                {0, 0, 0, false, kernel, kSourceMm[i]},
                tried[i * kernels.size() + kernel]);
    }
  });
  std::vector<Trial> trials;
  for (const std::vector<Trial>& some : tried) {
    trials.insert(trials.end(), some.begin(), some.end());
  }
  return trials;
}

Eigen::MatrixXd SpotModel::PerWatt(const Trial& trial,
                                   const std::vector<Kernel>& kernels,
                                   const Rings& rings,
                                   double blur_m) const {
  const Kernel& kernel = kernels[trial.kernel];
  const Eigen::MatrixXd to_rings = RingTransform(rings, trial.source_mm, blur_m);
  const auto thin = kernel.Part(Kernel::kThin);
  if (trial.near_share == kFarShare) return (thin + kernel.Part(Kernel::kFar)) * to_rings;
  const auto early = kernel.Part(trial.bare ? Kernel::kBare : Kernel::kThrough);
  return (thin + trial.near_share * early) * to_rings;
}

HeatForm SpotModel::FormOf(const Eigen::MatrixXf& modes,
                           const Mask& seen,
                           Point center_px,
                           const View& view) const {
  // Wider than the fit, for the surroundings, and with the body, which is what is asked.
  View wide = view;
  wide.reach_mm = std::max(view.reach_mm, kFormReachMm);
  wide.body_mm = 0;
  const Rings rings = MeasureRings(modes, seen, center_px, wide);
  Eigen::MatrixXd lags(basis_.cols(), FormLags().size());
  for (Eigen::Index i = 0; i < lags.cols(); ++i) {
    lags.col(i) = (view.junction ? junction_ : ohmic_).LagModes(FormLags()(i));
  }
  return MeasureForm({rings.mean, 1e3 * rings.radius_m, rings.num_pixels}, lags, view.noise_k);
}

SpotFit SpotModel::Fit(const Eigen::MatrixXf& modes,
                       const Mask& seen,
                       Point center_px,
                       const View& view) const {
  SpotFit fit;
  const Rings rings = MeasureRings(modes, seen, center_px, view);
  const Responses& responses = view.junction ? junction_ : ohmic_;
  const std::vector<Kernel>& kernels = responses.kernels;
  if (rings.radius_m.size() < 3) return fit;
  if (view.body_mm <= 0) fit.form = FormOf(modes, seen, center_px, view);
  const double blur_m = prior_.blur_px * view.mm_per_pixel * 1e-3;
  const std::vector<Trial> trials = TryAll(rings, kernels, blur_m);
  if (trials.empty()) return fit;
  const Trial& best = BestOf(trials);
  fit.source_mm = best.source_mm;
  fit.part_lag_s = kernels[best.kernel].part_lag_s;
  Weigh(trials, best, static_cast<double>(rings.mean.size()), kernels, view, fit);
  fit.profile_k = best.power_w * PerWatt(best, kernels, profile_rings_, blur_m);
  const Eigen::RowVectorXd weight = rings.num_pixels.transpose();
  // Noise is no misfit: the models' spread holds it already.
  const double noise2 = view.noise_k * view.noise_k * static_cast<double>(rings.mean.size());
  fit.misfit = std::sqrt(std::max(0.0, best.chi2 - noise2) /
                         (rings.mean.array().square().rowwise() * weight.array()).sum());
  fit.power_log_sigma = std::hypot(fit.power_log_sigma, kFitError, kErrorOfMisfit * fit.misfit);
  return fit;
}

// Log of a model's probability before looking.
double SpotModel::LogPrior(const Kernel& kernel, const View& view) const {
  double log_prior = kernel.board.log_prior;
  if (view.body_mm > 0) {
    const double off = std::log(kernel.part_lag_s / kBodyLagS) / kBodyLagLogSigma;
    log_prior += kernel.part_lag_s > 0 ? -0.5 * off * off : kBodyNoLagLog;
  }
  return log_prior;
}

// Real boards are patchy: what the best round model leaves over counts as
// noise, spread over patches of pixels, so that no likelihood is overstated.
double SpotModel::NoiseOf(const Trial& best, double num_data, const View& view) {
  return PatchyNoise(best.chi2, std::max(1.0, num_data - 5), view.noise_k);
}

void SpotModel::Weigh(const std::vector<Trial>& trials,
                      const Trial& best,
                      double num_data,
                      const std::vector<Kernel>& kernels,
                      const View& view,
                      SpotFit& fit) const {
  const double noise2 = NoiseOf(best, num_data, view);
  LogMean all;
  LogMean near;
  LogMean far;
  LogMean sheet;
  for (const Trial& trial : trials) {
    const double log_ratio = -0.5 * (trial.chi2 - best.chi2) / noise2;
    const double weight = std::exp(log_ratio + LogPrior(kernels[trial.kernel], view));
    const bool on_far = trial.near_share == kFarShare;
    double& side = on_far ? fit.far_log_likelihood : fit.near_log_likelihood;
    side = std::max(side, log_ratio);
    const double log_power = std::log(trial.power_w);
    all.Add(weight, log_power);
    sheet.Add(weight, std::log(kernels[trial.kernel].board.plate.sheet_conductance_w_k));
    (on_far ? far : near).Add(weight, log_power);
  }
  fit.power_w = all.Value();
  fit.near_power_w = near.Value();
  fit.far_power_w = far.Value();
  fit.power_log_sigma = all.Sigma();
  fit.sheet_conductance_w_k = sheet.Within(kSheetLogStep);
}

std::optional<PlateFit> SpotModel::FitPlate(const Eigen::MatrixXf& modes,
                                            const Mask& seen,
                                            Point center_px,
                                            const View& view,
                                            const SpotFit& fit) const {
  const Rings rings = MeasureRings(modes, seen, center_px, view);
  if (rings.radius_m.size() < 3 || fit.power_w <= 0) return std::nullopt;
  const Responses& responses = view.junction ? junction_ : ohmic_;
  const std::vector<PlateTrial> boards = PlateTrials(prior_);
  std::vector<Kernel> kernels(boards.size());
  internal::InParallel(static_cast<int>(boards.size()), [&](int n) {
    const auto i = static_cast<std::size_t>(n);
    kernels[i] = responses.MakeKernel(boards[i], fit.part_lag_s, k_rad_m_);
  });
  const std::vector<Trial> trials =
      TryAll(rings, kernels, prior_.blur_px * view.mm_per_pixel * 1e-3);
  if (trials.empty()) return std::nullopt;
  const Trial& best = BestOf(trials);
  const double noise2 = NoiseOf(best, static_cast<double>(rings.mean.size()), view);
  LogMean sheet;
  LogMean capacity;
  LogMean film;
  for (const Trial& trial : trials) {
    const PlateTrial& board = kernels[trial.kernel].board;
    const double weight = std::exp(-0.5 * (trial.chi2 - best.chi2) / noise2 + board.log_prior);
    sheet.Add(weight, std::log(board.plate.sheet_conductance_w_k));
    capacity.Add(weight, std::log(board.plate.heat_capacity_j_m2k));
    film.Add(weight, std::log(board.plate.film_w_m2k));
  }
  return PlateFit{
      sheet.Within(kSheetLogStep), capacity.Within(kCapacityLogStep), film.Within(kFilmLogStep)};
}

SpotModel::Rings SpotModel::ProfileRings(const Eigen::VectorXd& k_rad_m) {
  Rings rings;
  rings.radius_m.resize(kNumProfileRadii);
  rings.bessel.resize(k_rad_m.size(), kNumProfileRadii);
  for (int i = 0; i < kNumProfileRadii; ++i) {
    rings.radius_m(i) = 1e-3 * i * kProfileStepMm;
    rings.bessel.col(i) = BesselOver(k_rad_m, rings.radius_m(i));
  }
  return rings;
}

std::vector<Eigen::MatrixXd> SpotModel::PointProfiles(const View& view) const {
  const std::vector<Kernel>& kernels = (view.junction ? junction_ : ohmic_).kernels;
  const double blur_m = prior_.blur_px * view.mm_per_pixel * 1e-3;
  const Rings& rings = profile_rings_;
  std::vector<Eigen::MatrixXd> profiles;
  for (std::size_t i = 0; i < kernels.size(); ++i) {
    if (kernels[i].part_lag_s > kMostLagOfFaceS) continue;
    for (const double share : kFaceShares) {
      for (const bool bare : {false, true}) {
        profiles.push_back(
            PerWatt({1, 0, share, bare, i, kSourceMm.front()}, kernels, rings, blur_m));
      }
    }
  }
  return profiles;
}

void SpotModel::AddSpot(const SpotFit& fit,
                        Point center_px,
                        double mm_per_pixel,
                        double sign,
                        cv::Size size_px,
                        Eigen::MatrixXf& modes) const {
  if (fit.profile_k.size() == 0) return;
  if (!IsLine(fit.line)) {
    AddPoint(sign * fit.profile_k, center_px, mm_per_pixel, size_px, modes);
    return;
  }
  const std::vector<Point> points = PointsOf(fit.line, mm_per_pixel);
  const Eigen::MatrixXd each_k = sign / static_cast<double>(points.size()) * fit.line.profile_k;
  for (const Point& point : points) AddPoint(each_k, point, mm_per_pixel, size_px, modes);
}

void SpotModel::AddPoint(const Eigen::MatrixXd& profile_k,
                         Point center_px,
                         double mm_per_pixel,
                         cv::Size size_px,
                         Eigen::MatrixXf& modes) {
  const Eigen::Index last = profile_k.cols() - 1;
  const int reach_px = static_cast<int>(static_cast<double>(last) * kProfileStepMm / mm_per_pixel);
  const cv::Rect box = cv::Rect(cvRound(center_px.x) - reach_px,
                                cvRound(center_px.y) - reach_px,
                                2 * reach_px + 1,
                                2 * reach_px + 1) &
                       cv::Rect({0, 0}, size_px);
  for (int y = box.y; y < box.y + box.height; ++y) {
    for (int x = box.x; x < box.x + box.width; ++x) {
      const double at =
          mm_per_pixel * std::hypot(x - center_px.x, y - center_px.y) / kProfileStepMm;
      const auto low = static_cast<Eigen::Index>(at);
      if (low >= last) continue;
      const double share = at - static_cast<double>(low);
      modes.col(y * size_px.width + x) +=
          ((1 - share) * profile_k.col(low) + share * profile_k.col(low + 1)).cast<float>();
    }
  }
}

}  // namespace ohmglow
