// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/join_place.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string>
#include <string_view>
#include <vector>

#include "rank/part_match.h"
#include "rank/supply_budget.h"
#include "rank/weights.h"
#include "twosided/capture_view.h"
#include "twosided/joint_power.h"

namespace ohmglow {
namespace {

// Both captures see the same heat and the same nuisances: the second says half as much.
constexpr double kSecondCapture = 0.5;
constexpr double kSaysNothing = 0.01;
// Captures that fit worse than this speak against the place.
constexpr double kPoorFit = 0.1;
constexpr double kLeastFit = 0.005;
constexpr double kAtContact = 0.3;
constexpr double kContactBehind = 0.1;
constexpr double kPowerConflictFactor = 0.5;
// Claims that exclude each other: the evidence on the side counts half.
constexpr double kContradiction = 0.5;

// Questions whose answer is what the place is, whoever sees it.
constexpr std::array<std::string_view, 4> kExclusions = {
    "is no lead contact", "is no lead wire", "is no track", "lies on the board"};
constexpr double kClearlyExcluded = 0.3;

double Sigma(const BoardPlace& place) { return std::sqrt(0.5 * cv::trace(place.covariance_mm2)); }

std::string Format(const char* text, double a, double b) {
  char buffer[200];
  std::snprintf(buffer, sizeof buffer, text, a, b);
  return buffer;
}

const char* SideName(BoardSide side) { return side == BoardSide::kTop ? "top" : "bottom"; }

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

// All that is known of a pair while it is being joined. Index 0: the capture
// that gives the coordinates, 1: the other.
class Joining {
 public:
  Joining(const Capture& seen, const Capture& other, const PlacePair& pair)
      : captures_{&seen, &other} {
    if (pair.seen) candidates_[0] = &seen.result.candidates[*pair.seen];
    if (pair.other) candidates_[1] = &other.result.candidates[*pair.other];
    rank_ = pair.other;
    const double exponent = std::clamp(
        (candidates_[0] ? candidates_[0] : candidates_[1])->current_exponent.value_or(2), 0.8, 2.2);
    const double amps_a[] = {TopAmps(seen.result), TopAmps(other.result)};
    if (amps_a[0] > 0 && amps_a[1] > 0) factor_[1] = std::pow(amps_a[0] / amps_a[1], exponent);
    FindPlaces();
    for (int i : {0, 1}) {
      views_[i] = candidates_[i]
                      ? ViewListed(captures_[i]->result, *candidates_[i], factor_[i])
                      : ViewUnlisted(captures_[i]->result, Seen(1 - i, true), factor_[i]);
    }
    for (int i : {0, 1}) {
      views_[i].contact = ContactAt(captures_[i]->result, captures_[i]->job, places_[i]);
    }
    DecideSide();
  }

  [[nodiscard]] JoinedPlace Make(double decided_prob) {
    JoinedPlace out;
    out.candidate = candidates_[0] ? *candidates_[0] : *candidates_[1];
    if (!candidates_[0]) {
      out.candidate.remarks.insert(
          out.candidate.remarks.begin(),
          "Found from the other side alone: its place in this picture follows from the board "
          "coordinates, its growth is that seen there.");
      out.candidate.rise_k = std::max(0.0, views_[0].filmed ? views_[0].rise_k : 0.0);
    }
    out.candidate.far_prob = 1 - first_prob_;
    out.candidate.side = first_prob_ >= decided_prob       ? HeatSide::kNear
                         : first_prob_ <= 1 - decided_prob ? HeatSide::kFar
                                                           : HeatSide::kUndecided;
    SetPlace(out.candidate);
    SetOther(out.candidate);
    SayViews(out.candidate);
    SetPower(out);
    SetOdds(out);
    SayContradictions(out);
    out.candidate.remarks.insert(
        out.candidate.remarks.end(), out.conflicts.begin(), out.conflicts.end());
    return out;
  }

 private:
  // The place as one capture has it; wandered: if the source is on the other side.
  [[nodiscard]] BoardPlace Seen(int i, bool wandered) const {
    return wandered ? Wandered(places_[i], candidates_[i]->width_mm) : places_[i];
  }

  void FindPlaces() {
    for (int i : {0, 1}) {
      if (candidates_[i]) places_[i] = PlaceOf(captures_[i]->result, *candidates_[i]);
    }
    for (int i : {0, 1}) {
      if (!candidates_[i]) places_[i] = Seen(1 - i, true);
    }
  }

  [[nodiscard]] const std::vector<Part>& parts() const {
    const std::vector<Part>& first = captures_[0]->job.parts;
    return first.empty() ? captures_[1]->job.parts : first;
  }

  void DecideSide() {
    PartsOfSide there[2];
    if (!parts().empty()) {
      for (int i : {0, 1}) {
        there[i] = PartsAt(parts(), captures_[i]->result.side, places_[i].at_mm, Sigma(places_[i]));
      }
    }
    evidence_ = WeighSides(views_[0], there[0], views_[1], there[1]);
    if (evidence_.both_claim_it || evidence_.none_claims_it) evidence_.log_odds *= kContradiction;
    first_prob_ = 1 / (1 + std::exp(-evidence_.log_odds));
    near_ = evidence_.log_odds >= 0 ? 0 : 1;
  }

  // The near side's place, which the far one hardly betters.
  void SetPlace(Candidate& out) const {
    const int far = 1 - near_;
    BoardPlace place = places_[near_];
    if (candidates_[near_] && candidates_[far]) place = JoinPlaces(place, Seen(far, true));
    out.board_mm = place.at_mm;
    const LocateResult& frame = captures_[0]->result;
    if (near_ == 1 || !candidates_[0]) {
      out.frame_px = FramePlace(frame, place.at_mm);
      const cv::Matx22d to_px = frame.maps.board_from_frame->Jacobian(out.frame_px).inv();
      cv::Matx22d covariance_mm2 = place.covariance_mm2;
      if (frame.maps.board_error.known()) {
        covariance_mm2 += frame.maps.board_error.Covariance(out.frame_px);
      }
      out.sigma_px = std::sqrt(0.5 * cv::trace(to_px * covariance_mm2 * to_px.t()));
      out.photo_px.reset();
      if (frame.maps.photo_from_frame) out.photo_px = frame.maps.PhotoPlace(out.frame_px);
    }
    if (candidates_[near_]) out.width_mm = candidates_[near_]->width_mm;
    if (parts().empty()) return;
    const double near_prob = near_ == 0 ? first_prob_ : 1 - first_prob_;
    const PartsThere there = MatchParts(parts(),
                                        place.at_mm,
                                        std::max(0.1, Sigma(place)),
                                        captures_[near_]->result.side,
                                        1 - near_prob);
    out.parts = there.parts;
    out.board_mm = there.place_mm;
  }

  void SetOther(Candidate& out) const {
    SeenFromOtherSide from;
    from.frame_px = candidates_[1] ? candidates_[1]->frame_px
                                   : FramePlace(captures_[1]->result, places_[0].at_mm);
    if (!views_[1].filmed) return;
    from.rise_k = views_[1].rise_k / factor_[1];
    if (candidates_[1]) {
      from.rank = *rank_ + 1;
      from.power_w = factor_[1] * candidates_[1]->power_w;
      from.width_mm = candidates_[1]->width_mm;
      from.confidence = candidates_[1]->confidence;
    }
    out.other_side = from;
  }

  void SayViews(Candidate& out) const {
    for (const int i : {0, 1}) {
      if (views_[i].filmed) continue;
      out.remarks.emplace_back(i == 1 ? "The capture of the other side does not show this place."
                                      : "This capture does not show the place.");
      return;
    }
    std::string text =
        std::string("On the ") + SideName(captures_[0]->result.side) +
        Format(" it rises by %.3g K, on the other side, at the same current, by %.3g K",
               std::max(0.0, views_[0].rise_k),
               std::max(0.0, views_[1].rise_k));
    const double near_prob = near_ == 0 ? first_prob_ : 1 - first_prob_;
    text += Format(": %.0f %% for the ", 100 * std::min(near_prob, 0.99), 0);
    out.remarks.push_back(text + SideName(captures_[near_]->result.side) + ".");
  }

  [[nodiscard]] LogPower OwnPower(int i) const {
    if (!candidates_[i]) return {0, 1};
    const HeatSide true_side = i == near_ ? HeatSide::kNear : HeatSide::kFar;
    const HeatSide alone = candidates_[i]->side;
    return PowerOf(
        *candidates_[i], factor_[i], alone != HeatSide::kUndecided && alone != true_side);
  }

  void SetPower(JoinedPlace& out) {
    const LogPower near = OwnPower(near_);
    const LogPower far = OwnPower(1 - near_);
    const JointPower power = JoinPowers(near, far);
    Candidate& candidate = out.candidate;
    candidate.power_w = power.power_w;
    candidate.power_low_w = power.low_w;
    candidate.power_high_w = power.high_w;
    SetReading(candidate);
    if (candidates_[0] && candidates_[0]->share_of_supply && candidates_[0]->power_w > 0) {
      // The same supply: shares go with powers.
      candidate.share_of_supply =
          std::min(1.0, *candidates_[0]->share_of_supply * power.power_w / candidates_[0]->power_w);
    } else {
      candidate.share_of_supply.reset();
    }
    if (!power.conflict) return;
    power_conflict_ = true;
    out.conflicts.push_back(
        Format("The two sides disagree on its power: %.3g W from its own side, %.3g W from the "
               "other; the interval holds both.",
               near.power_w,
               far.power_w));
  }

  // From the joint power, at the current that it stands for.
  void SetReading(Candidate& candidate) const {
    std::erase(candidate.remarks, ReadingRemark(candidate));
    const bool resistance = candidate.resistance_ohm.has_value();
    const bool junction = candidate.drop_v.has_value();
    candidate.resistance_ohm.reset();
    candidate.drop_v.reset();
    if (!resistance && !junction) return;
    AddReading(TopAmps(captures_[0]->result), junction, candidate);
    candidate.remarks.push_back(ReadingRemark(candidate));
  }

  // A clip and its pad are bare metal, which hides its own heat: weaker from
  // their own side is as it should be.
  [[nodiscard]] bool FitsPoorly() const {
    if (views_[near_].contact > kAtContact && !evidence_.missing) return false;
    return evidence_.fit_prob < kPoorFit;
  }

  static void AddFactor(Candidate& out, double& log_odds, const char* name, double factor) {
    out.evidence.push_back({name, factor, std::log(factor)});
    log_odds += std::log(factor);
  }

  void SetOdds(JoinedPlace& out) const {
    const int base = candidates_[near_] ? near_ : 1 - near_;
    const Candidate& first = *candidates_[base];
    out.candidate.evidence = first.evidence;
    out.log_odds = LogOddsOf(first);
    if (const Candidate* second = candidates_[1 - base]) {
      const bool excluded = Excluded(first) || Excluded(*second);
      for (const Evidence& piece : second->evidence) {
        if (piece.name == kBeforeLooking) continue;
        const double log_factor = SecondLogFactor(piece, excluded);
        if (std::abs(log_factor) < kSaysNothing) continue;
        out.candidate.evidence.push_back(
            {"behind: " + piece.name, std::exp(log_factor), piece.value});
        out.log_odds += log_factor;
      }
    }
    if (FitsPoorly()) {
      AddFactor(out.candidate,
                out.log_odds,
                "shows on the other side as it should",
                std::max(evidence_.fit_prob, kLeastFit) / kPoorFit);
    }
    for (int i : {0, 1}) {
      // Warm from behind, and a contact marked where this capture lists nothing.
      if (candidates_[i] || views_[i].contact < 0.5) continue;
      AddFactor(
          out.candidate, out.log_odds, "is no lead contact of the other capture", kContactBehind);
    }
    if (power_conflict_) {
      AddFactor(
          out.candidate, out.log_odds, "has the same power from both sides", kPowerConflictFactor);
    }
  }

  void SayContradictions(JoinedPlace& out) const {
    if (FitsPoorly()) {
      out.conflicts.emplace_back(
          evidence_.missing
              ? "Heat of this strength should show on the other side, and does not: it may be no "
                "heat of the board (a reflection, a hand)."
              : "It shows more strongly on the other side than heat from its own side does.");
    }
    if (evidence_.both_claim_it) {
      out.conflicts.emplace_back("Each capture alone puts it on its own side.");
    }
    if (evidence_.none_claims_it) {
      out.conflicts.emplace_back("Each capture alone puts it on the side that it does not see.");
    }
  }

  const Capture* captures_[2];
  const Candidate* candidates_[2] = {nullptr, nullptr};
  std::optional<std::size_t> rank_;
  double factor_[2] = {1, 1};  // Of rises and powers, to the first capture's current.
  BoardPlace places_[2];
  PlaceView views_[2];
  SideEvidence evidence_;
  double first_prob_ = 0.5;
  int near_ = 0;
  bool power_conflict_ = false;
};

}  // namespace

JoinedPlace JoinPlace(const Capture& seen,
                      const Capture& other,
                      const PlacePair& pair,
                      double decided_prob) {
  return Joining(seen, other, pair).Make(decided_prob);
}

}  // namespace ohmglow
