// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/judge.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "rank/posterior.h"
#include "rank/weights.h"

namespace ohmglow {
namespace {

// What of a contact's or a coil's heat comes out elsewhere, by power, away from its own halo.
constexpr double kSpreadShare = 0.05;
constexpr double kSpreadMm = 20;

}  // namespace

void MeasureSpread(std::vector<Spot>& spots) {
  for (Spot& spot : spots) {
    double spread_w = 0;
    for (const Spot& other : spots) {
      if (&other == &spot) continue;
      const double other_mm = spot.mm_per_pixel * cv::norm(other.peak.at_px - spot.peak.at_px);
      const double not_fault = std::max(NearContact(other), other.carrier_prob);
      spread_w += not_fault * other.power_w * kSpreadShare * std::exp(-other_mm / kSpreadMm);
    }
    spot.spread_ratio = spot.power_w > 0 ? spread_w / spot.power_w : 0;
  }
}

std::vector<Judged> Judge(std::vector<Spot> spots, double threshold) {
  std::vector<Judged> places;
  double heaviest_w = 0;
  for (Spot& spot : spots) {
    places.push_back({std::move(spot), {}, 0, 1});
    Judged& place = places.back();
    place.judgement = JudgeSpot(place.spot, threshold);
    heaviest_w = std::max(heaviest_w, place.judgement.plausibility() * place.spot.power_w);
  }
  std::vector<double> log_odds;
  for (Judged& place : places) {
    JudgeAmongOthers(place.spot.power_w, heaviest_w, place.judgement);
    log_odds.push_back(place.judgement.log_odds);
  }
  const Posterior posterior = FaultPosterior(log_odds, std::exp(WeightOf(kSecondFault)));
  for (std::size_t i = 0; i < places.size(); ++i) {
    places[i].fault_prob = posterior.fault_prob[i];
    places[i].none_prob = posterior.none_prob;
  }
  std::stable_sort(places.begin(), places.end(), [](const Judged& a, const Judged& b) {
    return a.judgement.log_odds > b.judgement.log_odds;
  });
  return places;
}

std::vector<double> PlausibilitiesOf(const std::vector<Spot>& spots, double threshold) {
  std::vector<double> out;
  for (const Spot& spot : spots) out.push_back(JudgeSpot(spot, threshold).plausibility());
  return out;
}

}  // namespace ohmglow
