// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/wide_fit.h"

#include <algorithm>
#include <span>
#include <utility>

#include "rank/confidence.h"
#include "rank/place_courses.h"

namespace ohmglow {
namespace {

// Rounds of fits around wide heat, and what counts until it has its own place: the others hold
// too much of it.
constexpr int kRounds = 3;
constexpr WideRules kAtFirst = {.least_left = 0.25, .least_share = 0.25};
// Detector's places so near to wide heat are the wrong middle of it.
constexpr double kSameMm = kWideSigmaMm;

bool AtContact(const Spot& spot) { return NearContact(spot) > 0.5; }

std::vector<Point> ClearPlaces(const std::vector<Spot>& spots) {
  std::vector<Point> places;
  for (const Spot& spot : spots) {
    // More than the halo of a stronger one would.
    const bool owns = spot.snr >= kClearSteps && spot.halo_ratio < 1;
    if (owns && !AtContact(spot)) places.push_back(spot.peak.at_px);
  }
  return places;
}

bool HasStrongSteps(const Response& response) {
  double most = 0;
  cv::minMaxLoc(response.detector.z_steps(), nullptr, &most);
  return most >= Detector::kStrongSteps;
}

bool IsTwin(const Spot& spot, const std::vector<Spot>& wide) {
  return !AtContact(spot) && std::any_of(wide.begin(), wide.end(), [&](const Spot& one) {
    return one.mm_per_pixel * cv::norm(one.peak.at_px - spot.peak.at_px) < kSameMm;
  });
}

// Puts back and drops what is the same as one of the wide spots.
void DropTwins(const SpotPowers& powers,
               const std::vector<Spot>& wide,
               std::vector<Spot>& spots,
               Eigen::MatrixXf& modes) {
  const auto kept = std::stable_partition(
      spots.begin(), spots.end(), [&](const Spot& spot) { return !IsTwin(spot, wide); });
  powers.PutBack({kept, spots.end()}, modes);
  spots.erase(kept, spots.end());
}

// Those that were dropped for a wide spot which is one no longer, fitted to what is left.
void TakeBack(const SpotPowers& powers,
              const BoardMaps& maps,
              const std::vector<Spot>& known,
              const std::vector<Spot>& wide,
              std::vector<Spot>& spots,
              Eigen::MatrixXf& modes) {
  bool taken = false;
  for (const Spot& spot : known) {
    const bool there = std::any_of(spots.begin(), spots.end(), [&](const Spot& one) {
      return one.peak.at_px == spot.peak.at_px;
    });
    if (there || IsTwin(spot, wide)) continue;
    spots.push_back(spot);
    powers.FitOnce(maps, std::span(spots).last(1), modes);
    taken = true;
  }
  if (!taken) return;
  std::stable_sort(spots.begin(), spots.end(), [](const Spot& a, const Spot& b) {
    return a.peak.height > b.peak.height;
  });
}

}  // namespace

Eigen::MatrixXf FitFirst(const SpotPowers& powers,
                         const BoardMaps& maps,
                         const Response& response,
                         const MeasureWide& measure,
                         std::vector<Spot>& spots) {
  Eigen::MatrixXf modes = powers.AllHeat();
  if (!HasStrongSteps(response) || spots.empty()) {
    powers.FitOnce(maps, spots, modes);
    return modes;
  }
  const std::vector<Spot> known = spots;
  const std::vector<Point> clear_px = ClearPlaces(known);
  const Image whole_k = powers.StrengthOf(modes);
  std::vector<Spot> wide;
  for (int round = 0; round < kRounds; ++round) {
    powers.FitOnce(maps, spots, modes);
    powers.PutBack(wide, modes);
    const std::vector<WidePlace> places =
        FindWidePlaces({whole_k, powers.StrengthOf(modes)},
                       response.seen,
                       clear_px,
                       known.front().mm_per_pixel,
                       response.noise_median_k,
                       round + 1 < kRounds ? kAtFirst : WideRules{});
    wide.clear();
    for (const WidePlace& place : places) {
      if (std::optional<Spot> spot = measure(place)) wide.push_back(std::move(*spot));
    }
    if (wide.empty() && round == 0) return modes;
    if (wide.empty()) {
      spots = known;
      modes = powers.AllHeat();
      powers.FitOnce(maps, spots, modes);
      return modes;
    }
    DropTwins(powers, wide, spots, modes);
    powers.FitOnce(maps, wide, modes);
    TakeBack(powers, maps, known, wide, spots, modes);
  }
  spots.insert(spots.begin(), wide.begin(), wide.end());
  return modes;
}

}  // namespace ohmglow
