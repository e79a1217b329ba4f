// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/twosided/two_sided.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <string>
#include <utility>

#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "rank/advice.h"
#include "rank/advice_view.h"
#include "rank/posterior.h"
#include "rank/verdict_rules.h"
#include "rank/weights.h"
#include "supply_course.h"
#include "twosided/capture_view.h"
#include "twosided/join_place.h"
#include "twosided/pair_remarks.h"

namespace ohmglow {
namespace {

// Places farther apart than this, in standard errors, are two.
constexpr double kSamePlaceSigmas = 3;

std::string NameOf(const Case& job, const char* otherwise) {
  return job.file.empty() ? otherwise : job.file.string();
}

// Says which file to mend.
[[noreturn]] void RefuseUntied(const std::string& name, const std::string& why) {
  throw InputError(name + ": [board] points: two sides are joined by board coordinates" + why +
                   "; name a table with frame_x, frame_y, board_x_mm and board_y_mm in three rows "
                   "or more");
}

// Seen from behind, the axes of the board turn the other way round.
void CheckHands(const PlaneMap& here,
                const PlaneMap& there,
                const std::string& first,
                const std::string& second) {
  const auto turn = [](const PlaneMap& map) { return cv::determinant(map.Jacobian({0, 0})) > 0; };
  if (turn(here) != turn(there)) return;
  throw InputError(second +
                   ": [board] points: its board coordinates run the same way round as "
                   "those of " +
                   first +
                   ", though it shows the other side; give both in the "
                   "coordinates of one side (seen from behind, x or y runs backwards)");
}

// What makes the pair unfit, told before the long work.
void CheckPair(const Case& job, const Case& other) {
  const std::string first = NameOf(job, "the first case");
  const std::string second = NameOf(other, "the case of the other side");
  for (const Case* one : {&job, &other}) {
    if (!one->frames || one->frames->values() == FrameValues::kKelvin) continue;
    throw InputError(NameOf(*one, one == &job ? "the first case" : "the case of the other side") +
                     ": [frames] are no temperatures; the heat of two sides can be held against "
                     "each other in kelvin only: locate each side alone");
  }
  if (job.side == other.side) {
    const std::string side = SideName(job.side);
    throw InputError(second + ": [board] side = " + side + ", as in " + first +
                     "; --other-side takes a capture of the other side: correct the key, or film "
                     "that side");
  }
  const BoardMaps here = FitBoardMaps(job.landmarks);
  const BoardMaps there = FitBoardMaps(other.landmarks);
  // Where there are none, the list of the parts may tie itself to the picture.
  if (!here.board_from_frame && job.parts.empty()) RefuseUntied(first, "");
  if (!there.board_from_frame && other.parts.empty()) RefuseUntied(second, "");
  if (here.board_from_frame && there.board_from_frame) {
    CheckHands(*here.board_from_frame, *there.board_from_frame, first, second);
  }
}

// What only the frames tell.
void CheckTied(const Capture& here, const Capture& there) {
  const std::string first = NameOf(here.job, "the first case");
  const std::string second = NameOf(there.job, "the case of the other side");
  for (const Capture* one : {&here, &there}) {
    if (one->result.maps.board_from_frame) continue;
    RefuseUntied(one == &here ? first : second,
                 ", and its parts list could not be laid on the picture by its outlines");
  }
  CheckHands(
      *here.result.maps.board_from_frame, *there.result.maps.board_from_frame, first, second);
}

// Parts that neither capture shows.
Remark NotInView(const Capture& here, const Capture& there) {
  const std::vector<Part>& parts = here.job.parts.empty() ? there.job.parts : here.job.parts;
  return NamesOf(InBoth(PartsNotInView(parts, here.result), PartsNotInView(parts, there.result)));
}

// What the joint list of places calls for first.
std::vector<Remark> AdviseOnPair(const LocateResult& joined) {
  if (joined.verdict == Verdict::kNone) {
    const bool known = joined.detectable_w > 0 && joined.other_side->detectable_w > 0;
    if (!known) return {Remark(RemarkKind::kJointMoreCurrent)};
    return {Remark(RemarkKind::kJointShowsFrom)
                .With("here_mw", 1e3 * joined.detectable_w)
                .With("there_mw", 1e3 * joined.other_side->detectable_w)};
  }
  const HeatSide side = joined.candidates.front().side;
  if (side == HeatSide::kUndecided) return {Remark(RemarkKind::kSideStaysOpen)};
  if (side == HeatSide::kNear) return {};
  const BoardSide behind = joined.side == BoardSide::kTop ? BoardSide::kBottom : BoardSide::kTop;
  return {Remark(RemarkKind::kWorkThere).With("side", NameOfSide(behind))};
}

// Advice to film the other side has had its answer.
bool AsksForOtherSide(const Remark& advice) {
  return advice.kind == RemarkKind::kShowsFrom || advice.kind == RemarkKind::kMoreCurrent ||
         advice.kind == RemarkKind::kFilmOtherSide || advice.kind == RemarkKind::kTurnBoard;
}

// The joint list may hold what one side's list did not.
bool IsOfUnlisted(const Remark& advice) {
  return advice.kind == RemarkKind::kWarmByItself || advice.kind == RemarkKind::kWarmNoFault ||
         advice.kind == RemarkKind::kBothSaid;
}

bool Holds(const std::vector<Remark>& list, const Remark& remark) {
  return std::find(list.begin(), list.end(), remark) != list.end();
}

std::vector<Remark> JoinAdvice(const LocateResult& joined,
                               const Capture& here,
                               const Capture& there) {
  const LocateResult& seen = here.result;
  const bool contacts_marked = !here.job.contacts.empty();
  std::vector<Remark> advice = AdviseOnPair(joined);
  const std::vector<Remark> fresh = Advise(joined, contacts_marked, {}, NotInView(here, there));
  std::copy_if(fresh.begin(), fresh.end(), std::back_inserter(advice), [](const Remark& one) {
    return !AsksForOtherSide(one);
  });
  // What was advised beyond the places, of the capture itself.
  const std::vector<Remark> of_places =
      Advise(seen, contacts_marked, {}, NamesOf(PartsNotInView(here.job.parts, seen)));
  for (const Remark& remark : seen.advice) {
    if (IsOfUnlisted(remark) || Holds(of_places, remark) || Holds(advice, remark)) continue;
    advice.insert(advice.end() - (fresh.empty() ? 0 : 1), remark);
  }
  return advice;
}

OtherSide Describe(const LocateResult& other) {
  OtherSide out;
  out.title = other.title;
  out.case_file = other.case_file;
  out.verdict = other.verdict;
  out.top_amps_a = TopAmps(other);
  out.detectable_w = other.detectable_w;
  return out;
}

void AssumeAlso(const LocateResult& other, LocateResult& out) {
  for (Assumption one : other.assumed) {
    one.whose = "other side (" + other.case_file + ")";
    out.assumed.push_back(std::move(one));
  }
}

// Confidence from the odds of all places together, then their order.
void RankJoined(std::vector<JoinedPlace> places, LocateResult& out) {
  std::vector<double> log_odds;
  for (const JoinedPlace& place : places) log_odds.push_back(place.log_odds);
  const Posterior posterior = FaultPosterior(log_odds, std::exp(WeightOf(kSecondFault)));
  out.elsewhere_prob = posterior.none_prob;
  for (std::size_t i = 0; i < places.size(); ++i) {
    places[i].candidate.confidence = std::min(kMostConfidence, posterior.fault_prob[i]);
  }
  std::stable_sort(places.begin(), places.end(), [](const JoinedPlace& a, const JoinedPlace& b) {
    return a.candidate.confidence > b.candidate.confidence;
  });
  out.candidates.clear();
  for (JoinedPlace& place : places) {
    if (!IsListed(out.candidates.size(), place.candidate.confidence)) continue;
    out.candidates.push_back(std::move(place.candidate));
    const auto rank = static_cast<double>(out.candidates.size());
    for (const Remark& conflict : place.conflicts) {
      out.other_side->conflicts.push_back(
          Remark(RemarkKind::kOfPlace).With("place", rank).With("what", conflict));
    }
  }
}

}  // namespace

void TwoSidedOptions::Validate() const {
  locate.Validate();
  if (!(decided_prob >= 0.5 && decided_prob <= 1)) {
    throw OptionError("TwoSidedOptions::decided_prob must lie between 0.5 and 1; it is " +
                      std::to_string(decided_prob));
  }
  if (!(found_confidence >= 0 && found_confidence <= 1)) {
    throw OptionError("TwoSidedOptions::found_confidence must lie between 0 and 1; it is " +
                      std::to_string(found_confidence));
  }
}

LocateResult JoinSides(const LocateResult& seen,
                       const Case& job,
                       const LocateResult& other,
                       const Case& other_job,
                       const TwoSidedOptions& options) {
  options.Validate();
  CheckPair(job, other_job);
  LocateResult out = seen;
  out.other_side = Describe(other);
  AssumeAlso(other, out);
  const Capture here{seen, job};
  const Capture there{other, other_job};
  CheckTied(here, there);
  std::vector<JoinedPlace> places;
  for (const PlacePair& pair : PairPlaces(seen, other, kSamePlaceSigmas)) {
    places.push_back(JoinPlace(here, there, pair, options.decided_prob));
  }
  RankJoined(std::move(places), out);
  const auto room = static_cast<std::size_t>(options.locate.rank.max_candidates);
  if (out.candidates.size() > room) out.candidates.resize(room);
  out.verdict = VerdictOn(out.candidates, options.found_confidence);
  out.advice = JoinAdvice(out, here, there);
  return out;
}

LocateResult LocateTwoSided(const Case& job,
                            const Case& other_job,
                            const TwoSidedOptions& options) {
  options.Validate();
  CheckPair(job, other_job);
  LocateOptions half = options.locate;
  const auto& report = options.locate.progress;
  if (report) half.progress = [&](double share) { report(0.5 * share); };
  for (const Case* one : {&job, &other_job}) RequireCurrents(*one);
  const LocateResult seen = Locate(job, half);
  if (report) half.progress = [&](double share) { report(0.5 + 0.5 * share); };
  const LocateResult other = Locate(other_job, half);
  for (const LocateResult* one : {&seen, &other}) RequireCurrentsFit(*one);
  return JoinSides(seen, job, other, other_job, options);
}

}  // namespace ohmglow
