// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/verdict.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr double kLikely = 0.6;
// With this error of the ratio a vanished fault is told from one that stayed.
constexpr double kNeededSigma = 0.12;
constexpr double kMostFrames = 20;
// Resistances closer than this are the same: contacts never touch twice alike.
constexpr double kSameResistance = 0.02;
constexpr double kFarMore = 3;
// Leads put on again seldom change what they and the board have together by more than this share:
// common practice, no source.
constexpr double kContactShare = 0.3;
constexpr double kSurely = 3;  // Standard errors.

struct Outcome {
  double repaired = 0;
  double still_there = 0;
  double new_place = 0;
  /// That one suspect of those that AFTER filmed is not gone. Several that
  /// nobody could tell of are likely not all gone, yet that is no finding.
  double seen_there = 0;
  double any_new = 0;
};

Outcome Weigh(const std::vector<WeighedPlace>& places) {
  double all_gone = 1;
  double none_new = 1;
  double seen_there = 0;
  bool any_suspect = false;
  for (const WeighedPlace& weighed : places) {
    if (!weighed.place.suspect) continue;
    if (weighed.new_in_after) {
      none_new *= 1 - weighed.fault_after_prob;
    } else {
      any_suspect = true;
      all_gone *= weighed.probs.gone;
      if (weighed.place.ratio) seen_there = std::max(seen_there, 1 - weighed.probs.gone);
    }
  }
  const double any_new = 1 - none_new;
  if (!any_suspect) return {0, 0, any_new, 0, any_new};
  return {all_gone * none_new, 1 - all_gone, all_gone * any_new, seen_there, any_new};
}

template <typename Wanted>
std::vector<Remark> NamesOf(const std::vector<WeighedPlace>& places, const Wanted& wanted) {
  std::vector<Remark> names;
  for (const WeighedPlace& weighed : places) {
    if (!wanted(weighed)) continue;
    const ComparedPlace& place = weighed.place;
    std::string there = place.contact.value_or("");
    if (there.empty() && !place.parts.empty() && place.parts.front().prob >= 0.5) {
      there = place.parts.front().ref;
    }
    Remark name = Remark(there.empty() ? RemarkKind::kPlaceNamed : RemarkKind::kPlaceNamedPart)
                      .With("letter", place.name);
    names.push_back(there.empty() ? std::move(name) : std::move(name).With("part", there));
  }
  return names;
}

// The places that a finding is about.
Remark Of(RemarkKind kind, const std::vector<Remark>& names) {
  return Remark(kind).With("places", names);
}

// Heat that AFTER alone would call a fault, and why it is not counted as one.
void SayWhatElseWarms(const std::vector<WeighedPlace>& places, std::vector<Remark>& words) {
  const auto own_heat = [](const WeighedPlace& w) { return !w.place.suspect && w.new_in_after; };
  const std::vector<Remark> before = NamesOf(
      places, [&](const WeighedPlace& w) { return own_heat(w) && w.place.before_w.has_value(); });
  const std::vector<Remark> unfilmed = NamesOf(
      places, [&](const WeighedPlace& w) { return own_heat(w) && !w.place.before_w.has_value(); });
  if (!before.empty()) words.push_back(Of(RemarkKind::kWarmsAsBefore, before));
  if (!unfilmed.empty()) words.push_back(Of(RemarkKind::kWarmsUnfilmedBefore, unfilmed));
}

// More current would need more voltage than the rail ever had.
bool TakesNoMore(const Blindness& blindness, const ResistanceChange& resistance, double amps_a) {
  if (!resistance.before_ohm || !resistance.after_ohm) return false;
  const double before_v = *resistance.before_ohm * blindness.scale_amps_a;
  return *resistance.after_ohm > kFarMore * *resistance.before_ohm &&
         amps_a * *resistance.after_ohm > kFarMore * before_v;
}

// What would make an undecided pair decidable.
void SayWhatIsNeeded(const std::vector<WeighedPlace>& places,
                     const Blindness& blindness,
                     CompareResult& result) {
  std::vector<Remark>& words = result.words;
  if (blindness.before_showed_none || (!blindness.suspect_sigma && !blindness.suspect_outside)) {
    words.emplace_back(RemarkKind::kNoneToCompare);
    const std::vector<Remark> found =
        NamesOf(places, [](const WeighedPlace& w) { return w.place.suspect && w.new_in_after; });
    if (!found.empty()) words.push_back(Of(RemarkKind::kWrongOrderPlaces, found));
    return;
  }
  if (blindness.suspect_outside) {
    words.emplace_back(RemarkKind::kSecondMissesFault);
    return;
  }
  if (*blindness.suspect_sigma <= kNeededSigma) {
    words.emplace_back(RemarkKind::kNeitherFaultNorNone);
    return;
  }
  const double more = *blindness.suspect_sigma / kNeededSigma;
  const double needed_amps = blindness.after_amps_a * std::sqrt(more);
  if (TakesNoMore(blindness, result.resistance, needed_amps)) {
    words.push_back(Remark(RemarkKind::kRailTakesLess)
                        .With("before_ohm", *result.resistance.before_ohm)
                        .With("after_ohm", *result.resistance.after_ohm));
    words.emplace_back(RemarkKind::kMeasureBeforePower);
    return;
  }
  // Noise falls with the root of the frames: more is nothing to wait for.
  const bool by_frames = more * more <= kMostFrames;
  words.push_back(
      Remark(by_frames ? RemarkKind::kNeedsMoreCurrentOrFrames : RemarkKind::kNeedsMoreCurrent)
          .With("needed_a", needed_amps)
          .With("amps_a", blindness.after_amps_a)
          .With("times", more * more));
}

// A short that is gone leaves its mark on the resistance; one that has not
// moved contradicts what the pictures say.
bool Contradicted(const std::vector<WeighedPlace>& places,
                  const Blindness& blindness,
                  const ResistanceChange& resistance) {
  if (!resistance.change_ohm || !resistance.change_sigma_ohm || places.empty()) return false;
  const double square = blindness.scale_amps_a * blindness.scale_amps_a;
  if (!(square > 0)) return false;
  const double fault_ohm = places.front().place.before_w.value_or(0) / square;
  const double error_ohm =
      std::max(*resistance.change_sigma_ohm, kSameResistance * resistance.before_ohm.value_or(0));
  return std::abs(*resistance.change_ohm) < error_ohm && fault_ohm > 3 * error_ohm;
}

bool LeavesDoubt(const WeighedPlace& weighed) {
  const ComparedPlace& place = weighed.place;
  return place.suspect && !weighed.new_in_after && place.ratio && place.ratio_sigma &&
         MayBeLeft(*place.ratio, *place.ratio_sigma);
}

bool AnyMayBeLeft(const std::vector<WeighedPlace>& places) {
  return std::any_of(places.begin(), places.end(), LeavesDoubt);
}

// No repair lets more current through: the board got worse, or the captures are swapped.
bool FellClearly(const ResistanceChange& resistance) {
  if (!resistance.change_ohm || !resistance.before_ohm) return false;
  const double error_ohm = std::max(kSurely * resistance.change_sigma_ohm.value_or(0),
                                    kContactShare * *resistance.before_ohm);
  return *resistance.change_ohm < -error_ohm;
}

Remark AskForOrder(const ResistanceChange& resistance) {
  return Remark(RemarkKind::kWrongOrderResistance)
      .With("before_ohm", *resistance.before_ohm)
      .With("after_ohm", *resistance.after_ohm);
}

}  // namespace

void DecideVerdict(const std::vector<WeighedPlace>& places,
                   const Blindness& blindness,
                   CompareResult& result) {
  const Outcome outcome = Weigh(places);
  const double best = std::max({outcome.repaired, outcome.still_there, outcome.new_place});
  result.probability = best;
  result.words.clear();
  const bool blind = blindness.before_showed_none || blindness.suspect_outside ||
                     !blindness.suspect_sigma || AnyMayBeLeft(places);
  const std::vector<Remark> old_names =
      NamesOf(places, [](const WeighedPlace& w) { return w.place.suspect && !w.new_in_after; });
  const std::vector<Remark> new_names =
      NamesOf(places, [](const WeighedPlace& w) { return w.place.suspect && w.new_in_after; });
  const bool nothing_before = blindness.before_showed_none && old_names.empty();
  if (best == outcome.repaired && !blind && Contradicted(places, blindness, result.resistance)) {
    result.verdict = CompareVerdict::kUndecided;
    result.probability = 0.5;
    result.words.push_back(Of(RemarkKind::kHeatGoneSameResistance, old_names)
                               .With("ohm", *result.resistance.after_ohm));
    result.words.emplace_back(RemarkKind::kMeasureBeforePower);
  } else if (best == outcome.still_there && best >= kLikely && outcome.seen_there >= kLikely) {
    result.verdict = CompareVerdict::kNotRepaired;
    result.words.push_back(Of(RemarkKind::kStillTakesPower, old_names));
    if (!new_names.empty() && outcome.any_new >= kLikely) {
      result.words.push_back(Of(RemarkKind::kAlsoLookAt, new_names));
    }
  } else if (best == outcome.new_place && best >= kLikely && !new_names.empty() &&
             !nothing_before) {
    result.verdict = CompareVerdict::kNewPlace;
    const std::vector<Remark> gone = NamesOf(places, [](const WeighedPlace& w) {
      return w.place.suspect && !w.new_in_after && !LeavesDoubt(w);
    });
    if (!gone.empty()) result.words.push_back(Of(RemarkKind::kHeatGone, gone));
    result.words.push_back(Of(RemarkKind::kTakesPowerNow, new_names));
  } else if (best == outcome.repaired && best >= kLikely && !blind &&
             FellClearly(result.resistance)) {
    result.verdict = CompareVerdict::kUndecided;
    result.probability = 0.5;
    result.words.push_back(Of(RemarkKind::kHeatGone, old_names));
    SayWhatElseWarms(places, result.words);
  } else if (best == outcome.repaired && best >= kLikely && !blind) {
    result.verdict = CompareVerdict::kRepaired;
    result.words.push_back(Of(RemarkKind::kHeatGoneNoneNew, old_names));
    SayWhatElseWarms(places, result.words);
    result.words.emplace_back(RemarkKind::kMeasureBeforePower);
  } else {
    result.verdict = CompareVerdict::kUndecided;
    result.probability = 1 - best;
    SayWhatIsNeeded(places, blindness, result);
  }
  if (FellClearly(result.resistance) && result.verdict != CompareVerdict::kNotRepaired &&
      std::none_of(result.words.begin(), result.words.end(), IsOf(RemarkKind::kWrongOrderPlaces))) {
    result.words.insert(result.words.begin(), AskForOrder(result.resistance));
  }
}

}  // namespace ohmglow
