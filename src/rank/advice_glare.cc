// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice_glare.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "ohmglow/base/remark_kind.h"
#include "rank/verdict_rules.h"
#include "rank/weights.h"

namespace ohmglow {
namespace {

// Factor of the odds from which on a piece of evidence is worth naming as what speaks against it.
constexpr double kSpeaksAgainst = 0.3;

bool IsPassedOver(const Candidate& place, double least_k) {
  return place.confidence < kFaultConfidence && place.rise_k >= least_k && !place.contact &&
         FollowsSupply(place) && FactorOf(place.evidence, kNoCarrier) >= kSurelyAgainst;
}

}  // namespace

double GlaringFrom(double noise_rise_k, FrameValues values) {
  const double least_k = kGlaringOfNoise * noise_rise_k;
  return values == FrameValues::kKelvin ? std::max(kGlaringK, least_k) : least_k;
}

std::vector<Remark> ListPassedOver(const LocateResult& result) {
  const bool kelvin = result.values == FrameValues::kKelvin;
  const double least_k = GlaringFrom(result.noise_response_k, result.values);
  std::vector<Remark> remarks;
  for (std::size_t i = 0; i < result.candidates.size(); ++i) {
    const Candidate& place = result.candidates[i];
    if (!IsPassedOver(place, least_k)) continue;
    const bool unlisted =
        FactorOf(place.evidence, kOnPart) * FactorOf(place.evidence, kUnexplained) < kSpeaksAgainst;
    const RemarkKind kind =
        unlisted
            ? (kelvin ? RemarkKind::kPassedOverUnlisted : RemarkKind::kPassedOverUnlistedRelative)
            : (kelvin ? RemarkKind::kPassedOver : RemarkKind::kPassedOverRelative);
    Remark remark = Remark(kind).With("place", static_cast<double>(i + 1));
    remarks.push_back(kelvin ? std::move(remark).With("rise_k", place.rise_k) : remark);
  }
  return remarks;
}

}  // namespace ohmglow
