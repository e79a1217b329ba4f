// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice_glare.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <string_view>

#include "rank/weights.h"

namespace ohmglow {
namespace {

// Factor of the odds from which on a piece of evidence says what the place is instead.
constexpr double kSurelyAgainst = 0.1;
// ... or is worth naming as what speaks against it.
constexpr double kSpeaksAgainst = 0.3;

double FactorOf(const Candidate& place, std::string_view name) {
  for (const Evidence& piece : place.evidence) {
    if (piece.name == name) return piece.factor;
  }
  return 1;
}

bool IsPassedOver(const Candidate& place, double least_k) {
  return place.confidence < kFaultConfidence && place.rise_k >= least_k && !place.contact &&
         FactorOf(place, kFollowsSupply) >= kSurelyAgainst &&
         FactorOf(place, kNoCarrier) >= kSurelyAgainst;
}

}  // namespace

double GlaringFrom(double noise_rise_k, FrameValues values) {
  const double least_k = kGlaringOfNoise * noise_rise_k;
  return values == FrameValues::kKelvin ? std::max(kGlaringK, least_k) : least_k;
}

std::string SayPassedOver(const LocateResult& result) {
  const double least_k = GlaringFrom(result.noise_response_k, result.values);
  std::string text;
  for (std::size_t i = 0; i < result.candidates.size(); ++i) {
    const Candidate& place = result.candidates[i];
    if (!IsPassedOver(place, least_k)) continue;
    if (!text.empty()) text += " ";
    text += "Look at place " + std::to_string(i + 1) + " before you trust this: it ";
    if (result.values == FrameValues::kKelvin) {
      char rise[32];
      std::snprintf(rise, sizeof rise, "rises by %.2g K", place.rise_k);
      text += rise;
    } else {
      text += "warms clearly";
    }
    const bool unlisted = FactorOf(place, kOnPart) * FactorOf(place, kUnexplained) < kSpeaksAgainst;
    text += unlisted ? " with the supply, on no part of the list. The list may be of another board "
                       "or lack this part; else a track or lead there carries the current."
                     : " with the supply; what speaks against it stands in its reasons.";
  }
  return text;
}

}  // namespace ohmglow
