// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/verdict_rules.h"

#include <algorithm>

namespace ohmglow {
namespace {

constexpr std::size_t kAlwaysListed = 3;
constexpr double kWorthListing = 0.05;

}  // namespace

bool IsListed(std::size_t num_before, double confidence) {
  return num_before < kAlwaysListed || confidence >= kWorthListing;
}

Verdict VerdictOn(const std::vector<Candidate>& candidates, double least) {
  const auto faults =
      std::count_if(candidates.begin(), candidates.end(), [&](const Candidate& candidate) {
        return candidate.confidence >= least;
      });
  if (faults == 0) return Verdict::kNone;
  return faults == 1 ? Verdict::kFound : Verdict::kSeveral;
}

double FactorOf(const std::vector<Evidence>& evidence, std::string_view name) {
  const auto found = std::find_if(
      evidence.begin(), evidence.end(), [&](const Evidence& piece) { return piece.name == name; });
  return found == evidence.end() ? 1 : found->factor;
}

bool FollowsSupply(const Candidate& place) {
  return FactorOf(place.evidence, kFollowsSupply) >= kSurelyAgainst;
}

}  // namespace ohmglow
