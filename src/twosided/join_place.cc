// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/join_place.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "ohmglow/base/remark_kind.h"
#include "rank/part_match.h"
#include "twosided/capture_view.h"
#include "twosided/pair_odds.h"
#include "twosided/pair_power.h"
#include "twosided/pair_remarks.h"

namespace ohmglow {
namespace {

// The capture that lists it, in the first one's terms as far as that can be.
Candidate StartFrom(const PairView& pair) {
  if (pair.candidates[0]) return *pair.candidates[0];
  Candidate place = *pair.candidates[1];
  place.remarks.insert(place.remarks.begin(), Remark(RemarkKind::kFoundFromOtherSide));
  place.rise_k = std::max(0.0, pair.views[0].filmed ? pair.views[0].rise_k : 0.0);
  return place;
}

HeatSide Turned(HeatSide side) {
  switch (side) {
    case HeatSide::kNear:
      return HeatSide::kFar;
    case HeatSide::kFar:
      return HeatSide::kNear;
    case HeatSide::kUndecided:
      break;
  }
  return side;
}

void SetSide(const PairView& pair, double decided_prob, Candidate& place) {
  place.far_prob = 1 - pair.first_prob;
  place.side = pair.first_prob >= decided_prob       ? HeatSide::kNear
               : pair.first_prob <= 1 - decided_prob ? HeatSide::kFar
                                                     : HeatSide::kUndecided;
}

// Where a board place lies in the first capture's picture.
void PutIntoFrame(const LocateResult& frame, const BoardPlace& at, Candidate& place) {
  place.frame_px = FramePlace(frame, at.at_mm);
  const cv::Matx22d to_px = frame.maps.board_from_frame->Jacobian(place.frame_px).inv();
  const cv::Matx22d covariance_mm2 = at.covariance_mm2 + MapCovariance(frame.maps, place.frame_px);
  place.sigma_px = std::sqrt(0.5 * cv::trace(to_px * covariance_mm2 * to_px.t()));
  place.photo_px.reset();
  if (frame.maps.photo_from_frame) place.photo_px = frame.maps.PhotoPlace(place.frame_px);
}

// The near side's place, which the far one hardly betters.
void SetPlace(const PairView& pair, Candidate& place) {
  BoardPlace at = pair.places[pair.near];
  if (pair.candidates[0] && pair.candidates[1]) at = JoinPlaces(at, pair.WanderedPlace(pair.far()));
  place.board_mm = at.at_mm;
  if (pair.near == 1 || !pair.candidates[0]) PutIntoFrame(pair.captures[0]->result, at, place);
  if (pair.candidates[pair.near]) place.width_mm = pair.candidates[pair.near]->width_mm;
  if (pair.parts().empty()) return;
  const PartsThere there = MatchParts(pair.parts(),
                                      at.at_mm,
                                      std::max(0.1, SigmaMm(at)),
                                      pair.captures[pair.near]->result.side,
                                      1 - pair.near_prob());
  place.parts = there.parts;
  // Near and far are said as the first capture sees the board.
  for (PartMatch& part : place.parts) {
    if (pair.near == 1) part.side = Turned(part.side);
  }
  place.board_mm = there.place_mm;
}

void SetOther(const PairView& pair, Candidate& place) {
  if (!pair.views[1].filmed) return;
  SeenFromOtherSide from;
  from.frame_px = pair.candidates[1] ? pair.candidates[1]->frame_px
                                     : FramePlace(pair.captures[1]->result, pair.places[0].at_mm);
  from.rise_k = pair.views[1].rise_k / pair.factor[1];
  if (const Candidate* other = pair.candidates[1]) {
    from.rank = *pair.other_rank + 1;
    from.power_w = pair.factor[1] * other->power_w;
    from.width_mm = other->width_mm;
    from.confidence = other->confidence;
  }
  place.other_side = from;
}

}  // namespace

JoinedPlace JoinPlace(const Capture& seen,
                      const Capture& other,
                      const PlacePair& pair,
                      double decided_prob) {
  const PairView view = ViewPair(seen, other, pair);
  JoinedPlace out;
  Candidate& place = out.candidate;
  place = StartFrom(view);
  SetSide(view, decided_prob, place);
  SetPlace(view, place);
  SetOther(view, place);
  place.remarks.push_back(DescribeViews(view));
  const std::optional<Remark> power_conflict = JoinPairPower(view, place);
  if (power_conflict) out.conflicts.push_back(*power_conflict);
  out.log_odds = JoinOdds(view, power_conflict.has_value(), place);
  for (Remark& remark : ListContradictions(view)) out.conflicts.push_back(std::move(remark));
  place.remarks.insert(place.remarks.end(), out.conflicts.begin(), out.conflicts.end());
  return out;
}

}  // namespace ohmglow
