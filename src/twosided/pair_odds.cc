// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/pair_odds.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "rank/weights.h"

namespace ohmglow {
namespace {

// Both captures see the same heat and the same nuisances: the second says half as much.
constexpr double kSecondCapture = 0.5;
constexpr double kSaysNothing = 0.01;
constexpr double kLeastFit = 0.005;
constexpr double kContactBehind = 0.1;
constexpr double kPowerConflictFactor = 0.5;

// Questions whose answer is what the place is, whoever sees it.
constexpr std::array<std::string_view, 4> kExclusions = {
    "is no lead contact", "is no lead wire", "is no track", "lies on the board"};
constexpr double kClearlyExcluded = 0.3;

// Log odds as that capture has them.
double LogOddsOf(const Candidate& candidate) {
  if (candidate.evidence.empty()) {
    const double prob = std::clamp(candidate.confidence, 1e-3, 0.999);
    return std::log(prob / (1 - prob));
  }
  double sum = 0;
  for (const Evidence& piece : candidate.evidence) sum += std::log(std::max(piece.factor, 1e-9));
  return sum;
}

bool Excludes(const Evidence& piece) {
  return std::find(kExclusions.begin(), kExclusions.end(), piece.name) != kExclusions.end();
}

bool Excluded(const Candidate& candidate) {
  return std::any_of(
      candidate.evidence.begin(), candidate.evidence.end(), [](const Evidence& piece) {
        return Excludes(piece) && piece.factor < kClearlyExcluded;
      });
}

// What one capture knows a place to be holds in full, for both; what then shows
// from the other side is that very thing and speaks for no fault.
double SecondLogFactor(const Evidence& piece, bool excluded) {
  const double log_factor = std::log(std::max(piece.factor, 1e-9));
  if (Excludes(piece)) return log_factor;
  return excluded ? std::min(0.0, kSecondCapture * log_factor) : kSecondCapture * log_factor;
}

void AddFactor(const char* name, double factor, double& log_odds, Candidate& place) {
  place.evidence.push_back({name, factor, std::log(factor)});
  log_odds += std::log(factor);
}

// What the farther capture adds.
void AddSecond(const Candidate& first,
               const Candidate& second,
               double& log_odds,
               Candidate& place) {
  const bool excluded = Excluded(first) || Excluded(second);
  for (const Evidence& piece : second.evidence) {
    if (piece.name == kBeforeLooking) continue;
    const double log_factor = SecondLogFactor(piece, excluded);
    if (std::abs(log_factor) < kSaysNothing) continue;
    place.evidence.push_back(
        {std::string(kBehind) + piece.name, std::exp(log_factor), piece.value});
    log_odds += log_factor;
  }
}

}  // namespace

double JoinOdds(const PairView& pair, bool power_conflict, Candidate& place) {
  const int base = pair.candidates[pair.near] ? pair.near : pair.far();
  const Candidate& first = *pair.candidates[base];
  place.evidence = first.evidence;
  double log_odds = LogOddsOf(first);
  if (const Candidate* second = pair.candidates[1 - base]) {
    AddSecond(first, *second, log_odds, place);
  }
  if (pair.FitsPoorly()) {
    AddFactor("shows on the other side as it should",
              std::max(pair.evidence.fit_prob, kLeastFit) / kPoorFit,
              log_odds,
              place);
  }
  for (const int i : {0, 1}) {
    // Warm from behind, and a contact marked where this capture lists nothing.
    if (pair.candidates[i] || pair.views[i].contact < 0.5) continue;
    AddFactor("is no lead contact of the other capture", kContactBehind, log_odds, place);
  }
  if (power_conflict) {
    AddFactor("has the same power from both sides", kPowerConflictFactor, log_odds, place);
  }
  return log_odds;
}

}  // namespace ohmglow
