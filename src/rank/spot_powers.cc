// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_powers.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

#include "rank/spot_place.h"

namespace ohmglow {
namespace {

// Share of the power that the fits see at the end of steps of some seconds;
// the rest stays in the part, runs off along the copper or is lost in the
// drift's freedom. Medians over 40 simulated captures of tools/simulate
// (seeds 101..108 and 201..206 of its descriptions), not of measured ones.
constexpr double kSeenShareChip = 0.65;
constexpr double kSeenShareBody = 0.46;
// Parts narrower than this are chips: their heat is in the board at once.
constexpr double kLeastBodyMm = 2.5;
// Rings of the power fit reach as far as heat travels between two steps.
constexpr double kReachMm = 12;
constexpr int kBackfitRounds = 2;
constexpr std::size_t kStrongSpots = 6;
constexpr double kRoundElongation = 3;
constexpr double kJunctionLogRatio = 2;
// The finest size of the detector.
constexpr double kDetectorSigmaPx = 1;

// Strong heat is measured by its steps alone: the background that was learned
// beside it is full of it, and would bend its shape.
TemporalModel ForPowers(TemporalModel model, const Response& response) {
  double strongest = 0;
  cv::minMaxLoc(response.detector.z_steps(), nullptr, &strongest);
  if (strongest > Detector::kStrongSteps) model.Grant(response.usual);
  return model;
}

// A wire is no round spot: taking one out would dig holes beside it.
bool IsRound(const Spot& spot) { return spot.shape.elongation < kRoundElongation; }

}  // namespace

PlatePrior PriorOf(const Case& job) {
  PlatePrior prior;
  prior.plate = PlateOf(job);
  prior.sheet_known = job.sheet_conductance_w_k.has_value();
  return prior;
}

SpotPowers::SpotPowers(const Response& response,
                       const TemporalModel& model,
                       const Drive& drive,
                       const Case& job)
    : response_(response), job_(job), model_(ForPowers(model, response), drive, PriorOf(job)) {}

SpotModel::View SpotPowers::ViewOf(const Spot& spot) const {
  return {spot.mm_per_pixel,
          kReachMm,
          response_.noise_median_k,
          spot.course.log_junction > kJunctionLogRatio};
}

void SpotPowers::FitOne(Eigen::MatrixXf& modes, Spot& spot) const {
  const cv::Size size = response_.seen.size();
  const Point at = spot.peak.at_px;
  if (IsRound(spot)) model_.AddSpot(spot.fit, at, spot.mm_per_pixel, 1, size, modes);
  spot.fit = model_.Fit(modes, response_.seen, at, ViewOf(spot));
  if (IsRound(spot)) model_.AddSpot(spot.fit, at, spot.mm_per_pixel, -1, size, modes);
}

void SpotPowers::Fit(const BoardMaps& maps, std::vector<Spot>& spots) const {
  Eigen::MatrixXf modes = model_.ToModes(response_.courses);
  for (int round = 0; round < kBackfitRounds; ++round) {
    // Weak spots hardly change the strong ones: once is enough for them.
    const std::size_t count = round == 0 ? spots.size() : std::min(spots.size(), kStrongSpots);
    for (Spot& spot : std::span(spots).first(count)) FitOne(modes, spot);
  }
  for (Spot& spot : spots) {
    PlaceSpot(maps, job_, spot);
    spot.power_w = PowerOf(modes, spot);
  }
}

// Radius of the body that most likely sits at the spot; 0 for chips.
double SpotPowers::BodyRadiusMm(const Spot& spot) const {
  if (spot.parts.parts.empty() || spot.parts.parts.front().prob < 0.5) return 0;
  for (const Part& part : job_.parts) {
    if (part.ref != spot.parts.parts.front().ref || part.side != job_.side) continue;
    const double shorter_mm = std::min(part.width_mm, part.height_mm);
    if (shorter_mm < kLeastBodyMm) return 0;
    return std::sqrt(part.width_mm * part.height_mm / M_PI);
  }
  return 0;
}

// Moulded bodies keep heat back and are hotter on top than the board under
// them: there only the board around tells what flows into it.
double SpotPowers::PowerOf(Eigen::MatrixXf& modes, Spot& spot) const {
  const double body_mm = BodyRadiusMm(spot);
  if (body_mm <= 0) return spot.fit.power_w / kSeenShareChip;
  const Point at = spot.peak.at_px;
  const cv::Size size = response_.seen.size();
  // As in FitOne: what was never taken out must not be put back.
  if (IsRound(spot)) model_.AddSpot(spot.fit, at, spot.mm_per_pixel, 1, size, modes);
  SpotModel::View view = ViewOf(spot);
  view.body_mm = body_mm;
  const SpotFit around = model_.Fit(modes, response_.seen, at, view);
  if (IsRound(spot)) model_.AddSpot(spot.fit, at, spot.mm_per_pixel, -1, size, modes);
  if (around.power_w > 0) spot.fit = around;
  return spot.fit.power_w / kSeenShareBody;
}

double SpotPowers::DetectableW(double threshold) const {
  // The detector's Gaussian mean keeps noise_k / (2 sqrt(pi) sigma) of the noise.
  const double noise_k = response_.noise_median_k / (2 * std::sqrt(M_PI) * kDetectorSigmaPx);
  return threshold * noise_k / model_.StrengthPerWatt(job_.mm_per_pixel, kDetectorSigmaPx);
}

}  // namespace ohmglow
