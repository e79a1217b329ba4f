// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/pair_view.h"

#include <algorithm>
#include <cmath>

#include "twosided/capture_view.h"

namespace ohmglow {
namespace {

constexpr double kAtContact = 0.3;
// Claims that exclude each other: the evidence on the side counts half.
constexpr double kContradiction = 0.5;

void BringToOneCurrent(PairView& pair) {
  const Candidate& known = pair.candidates[0] ? *pair.candidates[0] : *pair.candidates[1];
  const double exponent = std::clamp(known.current_exponent.value_or(2), 0.8, 2.2);
  const double amps_a[] = {TopAmps(pair.captures[0]->result), TopAmps(pair.captures[1]->result)};
  if (amps_a[0] > 0 && amps_a[1] > 0) pair.factor[1] = std::pow(amps_a[0] / amps_a[1], exponent);
}

void FindPlaces(PairView& pair) {
  for (const int i : {0, 1}) {
    if (pair.candidates[i]) {
      pair.places[i] = PlaceOf(pair.captures[i]->result, *pair.candidates[i]);
    }
  }
  for (const int i : {0, 1}) {
    if (!pair.candidates[i]) pair.places[i] = pair.WanderedPlace(1 - i);
  }
}

void LookAtPlaces(PairView& pair) {
  for (const int i : {0, 1}) {
    const Capture& capture = *pair.captures[i];
    pair.views[i] = pair.candidates[i]
                        ? ViewListed(capture.result, *pair.candidates[i], pair.factor[i])
                        : ViewUnlisted(capture.result, pair.WanderedPlace(1 - i), pair.factor[i]);
    pair.views[i].contact = ContactAt(capture.result, capture.job, pair.places[i]);
  }
}

void DecideSide(PairView& pair) {
  PartsOfSide there[2];
  if (!pair.parts().empty()) {
    for (const int i : {0, 1}) {
      there[i] = PartsAt(pair.parts(),
                         pair.captures[i]->result.side,
                         pair.places[i].at_mm,
                         SigmaMm(pair.places[i]));
    }
  }
  SideEvidence& evidence = pair.evidence;
  evidence = WeighSides(pair.views[0], there[0], pair.views[1], there[1]);
  if (evidence.both_claim_it || evidence.none_claims_it) evidence.log_odds *= kContradiction;
  pair.first_prob = 1 / (1 + std::exp(-evidence.log_odds));
  pair.near = evidence.log_odds >= 0 ? 0 : 1;
}

}  // namespace

double SigmaMm(const BoardPlace& place) { return std::sqrt(0.5 * cv::trace(place.covariance_mm2)); }

const std::vector<Part>& PairView::parts() const {
  const std::vector<Part>& first = captures[0]->job.parts;
  return first.empty() ? captures[1]->job.parts : first;
}

BoardPlace PairView::WanderedPlace(int i) const {
  return Wandered(places[i], candidates[i]->width_mm);
}

bool PairView::FitsPoorly() const {
  // A clip and its pad are bare metal, which hides its own heat: weaker from
  // their own side is as it should be.
  if (views[near].contact > kAtContact && !evidence.missing) return false;
  return evidence.fit_prob < kPoorFit;
}

PairView ViewPair(const Capture& seen, const Capture& other, const PlacePair& pair) {
  PairView view;
  view.captures[0] = &seen;
  view.captures[1] = &other;
  if (pair.seen) view.candidates[0] = &seen.result.candidates[*pair.seen];
  if (pair.other) view.candidates[1] = &other.result.candidates[*pair.other];
  view.other_rank = pair.other;
  BringToOneCurrent(view);
  FindPlaces(view);
  LookAtPlaces(view);
  DecideSide(view);
  return view;
}

}  // namespace ohmglow
