// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/spot_powers.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

#include "rank/line_fit.h"
#include "rank/part_form.h"
#include "rank/spot_place.h"
#include "rank/supply_budget.h"

namespace ohmglow {
namespace {

// Share of the power that a source on the far side shows: the rest stays in its
// part, which nobody sees, or runs off where the copper is thick. Median over
// simulated captures (tools/simulate, seeds 7001..7057, boards of 0.6 to 2 mm).
constexpr double kSeenShareFar = 0.64;
constexpr double kFarLogSigma = 0.3;
// Parts narrower than this are chips: their heat is in the board at once.
constexpr double kLeastBodyMm = 2.5;
// Heat that bodies hold, top and inside alike [J/(m2 K)]: 1 mm of mould at
// 1.7e6 J/(m3 K), and 0.5 mm of copper frame under power parts (common
// practice, no source).
constexpr double kMouldJM2K = 1800;
constexpr double kPowerPartJM2K = 3200;
constexpr double kBodyLogSigma = 0.2;
// Vias below a power part lead heat away to where no ring sees it come: median
// over the same captures.
constexpr double kSeenSharePower = 0.82;
// All of these were fitted where what the picture shares takes a part of each halo. Where halos
// are kept, heat reads so much higher: by 27 % in 28 simulated views of 42 to 48 mm, near ones.
constexpr double kOfKeptHalo = 0.8;
// A step's heat in body and board after this long, see HeatForm.
constexpr double kFormS = 5;
// Without a parts list: wider is a body, as wide as this over its own size.
constexpr double kWidestChipMm = 4.6;
constexpr double kWidthOfBody = 1.17;
// Rings of the power fit reach as far as heat travels between two steps.
constexpr double kReachMm = 12;
constexpr std::size_t kStrongSpots = 6;
constexpr double kRoundElongation = 3;
constexpr double kClearOfContactMm = 5;
// How far beside a line its own maxima lie, at most.
constexpr double kOnLineMm = 1.5;
// Of the way to a stronger place, how far a line is looked for, and how far at least.
constexpr double kOfWayToRival = 0.6;
constexpr double kLeastLineReachMm = 5;
// Lag of heat that came through a board, about.
constexpr double kSlowS = 5;

// Strong heat is measured by its steps alone: the background that was learned
// beside it is full of it, and would bend its shape.
TemporalModel ForPowers(TemporalModel model, const Response& response) {
  double strongest = 0;
  cv::minMaxLoc(response.detector.z_steps(), nullptr, &strongest);
  if (strongest > Detector::kStrongSteps) model.Grant(response.usual);
  return model;
}

// A wire is no round spot: taking one out would dig holes beside it.
bool IsRound(const Spot& spot) {
  return spot.shape.elongation < kRoundElongation || IsLine(spot.fit.line);
}

// Weaker maxima on a line are the line's.
void MarkThoseOnLines(std::vector<Spot>& spots) {
  for (std::size_t i = 0; i < spots.size(); ++i) {
    const Spot& spot = spots[i];
    if (!IsLine(spot.fit.line)) continue;
    for (Spot& weaker : std::span(spots).subspan(i + 1)) {
      const double off_px = FromLinePx(spot.fit.line, spot.mm_per_pixel, weaker.peak.at_px);
      if (off_px * spot.mm_per_pixel > kOnLineMm) continue;
      if (LogLine(spot.fit.line) <= weaker.log_on_line) continue;
      weaker.log_on_line = LogLine(spot.fit.line);
      weaker.on_line_mm = spot.fit.line.length_mm;
    }
  }
}

}  // namespace

PlatePrior PriorOf(const Case& job) {
  PlatePrior prior;
  prior.plate = PlateOf(job);
  prior.sheet_known = job.sheet_conductance_w_k.has_value();
  prior.bare_laminate = !job.heat_capacity_j_m2k.has_value();
  return prior;
}

SpotPowers::SpotPowers(const Response& response,
                       const TemporalModel& model,
                       const Drive& drive,
                       const Case& job)
    : response_(response),
      job_(job),
      model_(ForPowers(model, response), drive, PriorOf(job)),
      supply_w_(TopWatts(drive)) {}

SpotModel::View SpotPowers::ViewOf(const Spot& spot) const {
  return {spot.mm_per_pixel,
          kReachMm,
          response_.noise_median_k,
          spot.course.log_junction > kJunctionLogRatio};
}

HeatLine SpotPowers::LineOf(const Eigen::MatrixXf& modes, const Spot& spot) const {
  // Beside stronger heat, what that one's fit leaves over would be taken for a line.
  const double reach_mm = std::min(kReachMm, kOfWayToRival * spot.rival_mm);
  if (!ShapeIsClear(spot) || reach_mm < kLeastLineReachMm) return {};
  return FitLine(modes,
                 response_.seen,
                 {spot.peak.at_px,
                  spot.mm_per_pixel,
                  reach_mm,
                  response_.noise_median_k,
                  SpotModel::kProfileStepMm,
                  spot.fit.profile_k,
                  model_.PointProfiles(ViewOf(spot))});
}

void SpotPowers::FitOne(const BoardMaps& maps, Eigen::MatrixXf& modes, Spot& spot) const {
  const cv::Size size = response_.seen.size();
  const Point at = spot.peak.at_px;
  if (IsRound(spot)) model_.AddSpot(spot.fit, at, spot.mm_per_pixel, 1, size, modes);
  spot.fit = model_.Fit(modes, response_.seen, at, ViewOf(spot));
  spot.fit.line = LineOf(modes, spot);
  if (IsPour(spot, supply_w_)) spot.fit.line = {};
  // A body as long as the line explains it as well.
  if (maps.board_from_frame &&
      InOnePart(spot.fit.line, spot.mm_per_pixel, *maps.board_from_frame, job_.parts, job_.side)) {
    spot.fit.line = {};
  }
  if (IsRound(spot)) model_.AddSpot(spot.fit, at, spot.mm_per_pixel, -1, size, modes);
}

std::optional<PlateFit> SpotPowers::PlateOfStrongest(Eigen::MatrixXf& modes,
                                                     const std::vector<Spot>& spots) const {
  // Clips, rims and moulded bodies keep heat that is not the board's.
  const auto tells = [&](const Spot& spot) {
    return IsRound(spot) && !IsLine(spot.fit.line) && spot.fit.power_w > 0 && !spot.at_rim &&
           spot.peak.overrun_px <= 0 && spot.contact_mm > kClearOfContactMm &&
           BodyAt(spot).area_mm2 <= 0;
  };
  const Spot* strongest = nullptr;
  for (const Spot& spot : spots) {
    if (!tells(spot)) continue;
    if (strongest == nullptr || spot.peak.height > strongest->peak.height) strongest = &spot;
  }
  if (strongest == nullptr) return std::nullopt;
  const Spot& spot = *strongest;
  const cv::Size size = response_.seen.size();
  model_.AddSpot(spot.fit, spot.peak.at_px, spot.mm_per_pixel, 1, size, modes);
  std::optional<PlateFit> plate =
      model_.FitPlate(modes, response_.seen, spot.peak.at_px, ViewOf(spot), spot.fit);
  model_.AddSpot(spot.fit, spot.peak.at_px, spot.mm_per_pixel, -1, size, modes);
  return plate;
}

void SpotPowers::FitOnce(const BoardMaps& maps,
                         std::span<Spot> spots,
                         Eigen::MatrixXf& modes) const {
  for (Spot& spot : spots) FitOne(maps, modes, spot);
}

void SpotPowers::PutBack(std::span<const Spot> spots, Eigen::MatrixXf& modes) const {
  for (const Spot& spot : spots) {
    if (!IsRound(spot)) continue;
    model_.AddSpot(spot.fit, spot.peak.at_px, spot.mm_per_pixel, 1, response_.seen.size(), modes);
  }
}

std::optional<PlateFit> SpotPowers::Finish(const BoardMaps& maps,
                                           std::vector<Spot>& spots,
                                           Eigen::MatrixXf& modes) const {
  // Weak spots hardly change the strong ones: once is enough for them.
  FitOnce(maps, std::span(spots).first(std::min(spots.size(), kStrongSpots)), modes);
  MarkThoseOnLines(spots);
  for (Spot& spot : spots) PlaceSpot(maps, job_, spot);
  std::optional<PlateFit> plate = PlateOfStrongest(modes, spots);
  for (Spot& spot : spots) spot.power_w = PowerOf(modes, spot);
  return plate;
}

Image SpotPowers::StrengthOf(const Eigen::MatrixXf& modes) const {
  const Eigen::VectorXf course = model_.Course(kSlowS).normalized().cast<float>();
  const Eigen::VectorXf values = modes.transpose() * course;
  Image out(response_.seen.size());
  std::copy_n(values.data(), values.size(), out.ptr<float>());
  return out;
}

BodyThere SpotPowers::BodyAt(const Spot& spot) const {
  if (spot.far_prob > 0.5) return {};
  const HeatForm& form = spot.fit.form;
  if (job_.parts.empty() || !spot.board_mm) {
    if (form.width_mm < kWidestChipMm) return {};
    return {std::pow(form.width_mm / kWidthOfBody, 2), kMouldJM2K};
  }
  if (spot.parts.parts.empty() || spot.parts.parts.front().prob < 0.5) return {};
  for (const Part& part : job_.parts) {
    if (part.ref != spot.parts.parts.front().ref || part.side != job_.side) continue;
    if (std::min(part.width_mm, part.height_mm) < kLeastBodyMm) return {};
    return {part.width_mm * part.height_mm,
            ClassOf(part) == PartClass::kPower ? kPowerPartJM2K : kMouldJM2K,
            ClassOf(part) == PartClass::kPower ? kSeenSharePower : 1};
  }
  return {};
}

// Moulded bodies keep heat back and are hotter on top than the board under
// them: the board around tells what flows into it, the body's own top what
// stays in the body.
double SpotPowers::PowerOf(Eigen::MatrixXf& modes, Spot& spot) const {
  SpotFit& fit = spot.fit;
  if (IsLine(fit.line)) return fit.line.power_w;
  const double of_halo = response_.kept_halos ? kOfKeptHalo : 1;
  if (spot.far_prob > 0.5 && fit.far_power_w > 0) {
    fit.power_log_sigma = std::hypot(fit.power_log_sigma, kFarLogSigma);
    return of_halo * fit.far_power_w / kSeenShareFar;
  }
  const BodyThere body = BodyAt(spot);
  if (body.area_mm2 <= 0) return of_halo * (fit.near_power_w > 0 ? fit.near_power_w : fit.power_w);
  const Point at = spot.peak.at_px;
  const cv::Size size = response_.seen.size();
  // As in FitOne: what was never taken out must not be put back.
  if (IsRound(spot)) model_.AddSpot(fit, at, spot.mm_per_pixel, 1, size, modes);
  SpotModel::View view = ViewOf(spot);
  view.body_mm = std::sqrt(body.area_mm2 / M_PI);
  SpotFit around = model_.Fit(modes, response_.seen, at, view);
  if (IsRound(spot)) model_.AddSpot(fit, at, spot.mm_per_pixel, -1, size, modes);
  if (around.power_w > 0) {
    around.form = fit.form;
    fit = around;
  }
  fit.power_log_sigma = std::hypot(fit.power_log_sigma, kBodyLogSigma);
  const double kept_w = 1e-6 * body.area_mm2 * body.heat_j_m2k * fit.form.rise_k / kFormS;
  const double board_w = of_halo * (fit.near_power_w > 0 ? fit.near_power_w : fit.power_w);
  return (board_w + kept_w) / body.seen_share;
}

}  // namespace ohmglow
