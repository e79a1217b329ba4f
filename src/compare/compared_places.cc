// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/compared_places.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <string>
#include <utility>

#include "compare/ratio.h"
#include "compare/strength.h"
#include "heat/plate.h"

namespace ohmglow {
namespace {

constexpr double kSuspectConfidence = 0.5;
constexpr std::size_t kMostPlaces = 8;
// A place of AFTER this close to one of BEFORE is the same.
constexpr double kSamePlaceMm = 2.0;
// Heat that was there before (or was not filmed) at this share of the fault's or
// less is the board's own: contacts, tracks, coils. Powers are good to half.
constexpr double kOwnHeatShare = 0.5;
// Weaker places of BEFORE say nothing of the work.
constexpr double kWorthShare = 0.03;
constexpr double kJunctionExponent = 1.5;
constexpr double kIntervalSigmas = 1.96;
constexpr double kUnseenSigma = 9;  // Of a ratio that nobody looked at.

double ExponentOf(const Candidate& candidate) {
  return candidate.current_exponent.value_or(2) < kJunctionExponent ? 1 : 2;
}

double LogSigma(const Candidate& candidate) {
  if (!(candidate.power_low_w > 0 && candidate.power_high_w > candidate.power_low_w)) return 0.5;
  return std::log(candidate.power_high_w / candidate.power_low_w) / (2 * kIntervalSigmas);
}

/// Both captures and the way from one to the other.
class Pair {
 public:
  Pair(const Case& before_job,
       const Analysis& before,
       const Analysis& after,
       const PairAlignment& alignment,
       double gone_share)
      : before_(before),
        after_(after),
        alignment_(alignment),
        gone_share_(gone_share),
        sources_(MakeSourceCourses(PlateOf(before_job))) {}

  /// After over before at a place of BEFORE (or, backwards, of AFTER).
  [[nodiscard]] RatioFit Ratio(const Candidate& candidate,
                               const std::vector<Candidate>& all,
                               bool backwards) const {
    const Analysis& first = backwards ? after_ : before_;
    const Analysis& second = backwards ? before_ : after_;
    const double exponent = ExponentOf(candidate);
    const StrengthModel here(first, sources_, exponent);
    const StrengthModel there(second, sources_, exponent);
    const int kind = here.BestKind(candidate.Peak());
    std::vector<Point> rivals;
    for (const Candidate& other : all) {
      if (other.Peak() != candidate.Peak()) rivals.push_back(other.Peak());
    }
    const double mm = before_.result.mm_per_pixel;
    const double mm_after = mm / alignment_.scale;
    const PlaneMap map =
        backwards ? alignment_.after_from_before.Inverse() : alignment_.after_from_before;
    return FitRatio({here.Map(kind), first.response.seen, backwards ? mm_after : mm},
                    {there.Map(kind), second.response.seen, backwards ? mm : mm_after},
                    map,
                    candidate.Peak(),
                    rivals);
  }

  /// A place of BEFORE, looked for in AFTER.
  [[nodiscard]] WeighedPlace FromBefore(std::size_t index, double scale_amps_a) const {
    const Candidate& candidate = before_.result.candidates[index];
    const double amps = before_.drive->top_amps_a();
    const double factor = std::pow(scale_amps_a / amps, ExponentOf(candidate));
    WeighedPlace out;
    ComparedPlace& place = out.place;
    place.before_px = candidate.frame_px;
    place.after_px = alignment_.after_from_before.Apply(candidate.frame_px);
    place.photo_px = candidate.photo_px;
    place.parts = candidate.parts;
    place.contact = candidate.contact;
    place.before_w = factor * candidate.power_w;
    place.before_low_w = factor * candidate.power_low_w;
    place.before_high_w = factor * candidate.power_high_w;
    out.fault_before_prob = candidate.confidence;
    const RatioFit fit = Ratio(candidate, before_.result.candidates, false);
    if (!fit.seen) {
      out.probs = JudgeChange(0, kUnseenSigma, gone_share_);
      return out;
    }
    place.ratio = fit.ratio;
    place.ratio_sigma = fit.sigma;
    out.probs = JudgeChange(fit.ratio, fit.sigma, gone_share_);
    SetChange(out);
    SetAfterPower(candidate, factor, fit, place);
    return out;
  }

  /// A place that AFTER calls a fault, looked for in BEFORE.
  [[nodiscard]] WeighedPlace FromAfter(const Candidate& candidate, double scale_amps_a) const {
    const double factor =
        std::pow(scale_amps_a / after_.drive->top_amps_a(), ExponentOf(candidate));
    WeighedPlace out;
    ComparedPlace& place = out.place;
    place.after_px = candidate.frame_px;
    place.before_px = alignment_.after_from_before.Inverse().Apply(candidate.frame_px);
    if (before_.result.maps.photo_from_frame) {
      place.photo_px = before_.result.maps.PhotoPlace(place.before_px);
    }
    place.parts = candidate.parts;
    place.contact = candidate.contact;
    place.after_w = factor * candidate.power_w;
    place.after_low_w = factor * candidate.power_low_w;
    place.after_high_w = factor * candidate.power_high_w;
    out.new_in_after = true;
    out.fault_after_prob = candidate.confidence;
    place.change = PlaceChange::kNew;
    place.change_prob = candidate.confidence;
    const RatioFit back = Ratio(candidate, after_.result.candidates, true);
    if (!back.seen) {
      // BEFORE did not film it: nobody can say that it is new.
      place.change = PlaceChange::kUnknown;
      place.change_prob = 0;
      return out;
    }
    const ChangeProbs was = JudgeChange(back.ratio, back.sigma, gone_share_);
    if (was.gone < 0.5 && back.ratio > 2 * back.sigma) {
      // It was there: judged the other way round.
      out.probs = {0, was.stronger, was.unchanged, was.weaker};
      SetChange(out);
      place.before_w = back.ratio * *place.after_w;
    }
    return out;
  }

 private:
  static void SetChange(WeighedPlace& weighed) {
    const ChangeProbs& probs = weighed.probs;
    ComparedPlace& place = weighed.place;
    place.change = LikeliestChange(probs);
    if (place.change == PlaceChange::kGone && place.ratio && place.ratio_sigma &&
        MayBeLeft(*place.ratio, *place.ratio_sigma)) {
      place.change = PlaceChange::kUnknown;
    }
    switch (place.change) {
      case PlaceChange::kGone:
        place.change_prob = probs.gone;
        break;
      case PlaceChange::kWeaker:
        place.change_prob = probs.weaker;
        break;
      case PlaceChange::kUnchanged:
        place.change_prob = probs.unchanged;
        break;
      case PlaceChange::kStronger:
        place.change_prob = probs.stronger;
        break;
      case PlaceChange::kNew:
      case PlaceChange::kUnknown:
        place.change_prob =
            1 - std::max({probs.gone, probs.weaker, probs.unchanged, probs.stronger});
        break;
    }
  }

  static void SetAfterPower(const Candidate& candidate,
                            double factor,
                            const RatioFit& fit,
                            ComparedPlace& place) {
    const double power_w = factor * candidate.power_w;
    const double log_sigma = LogSigma(candidate);
    if (place.change == PlaceChange::kUnknown) return;
    if (fit.ratio < 3 * fit.sigma || place.change == PlaceChange::kGone) {
      place.after_below_w = UpperLimit(fit.ratio, fit.sigma, power_w, log_sigma);
      return;
    }
    const double relative = std::hypot(log_sigma, fit.sigma / fit.ratio);
    place.after_w = fit.ratio * power_w;
    place.after_low_w = *place.after_w * std::exp(-kIntervalSigmas * relative);
    place.after_high_w = *place.after_w * std::exp(kIntervalSigmas * relative);
  }

  const Analysis& before_;
  const Analysis& after_;
  const PairAlignment& alignment_;
  double gone_share_;
  SourceCourses sources_;
};

// Contacts, tracks, coils: weak beside the fault, and there before and no
// stronger now, or not filmed before.
bool IsOwnHeat(const ComparedPlace& place, const ComparedPlace& fault) {
  const double limit_w = kOwnHeatShare * fault.before_w.value_or(0);
  switch (place.change) {
    case PlaceChange::kGone:
    case PlaceChange::kWeaker:
    case PlaceChange::kUnchanged:
      return place.before_w && *place.before_w < limit_w;
    case PlaceChange::kUnknown:
      return place.before_w.value_or(place.after_w.value_or(limit_w)) < limit_w;
    case PlaceChange::kStronger:
    case PlaceChange::kNew:
      break;
  }
  return false;
}

// The place of BEFORE that one of AFTER is: a suspect if there is one within
// reach, else the nearest; none where it is new.
WeighedPlace* SamePlace(std::span<WeighedPlace> old_places,
                        const std::vector<Candidate>& first,
                        const Candidate& candidate,
                        double mm_after) {
  WeighedPlace* same = nullptr;
  double same_mm = 0;
  for (std::size_t i = 0; i < old_places.size(); ++i) {
    WeighedPlace& old = old_places[i];
    const double apart_mm = mm_after * cv::norm(old.place.after_px - candidate.frame_px);
    const double sigma_mm = mm_after * std::hypot(candidate.sigma_px, first[i].sigma_px);
    if (apart_mm >= std::max(kSamePlaceMm, 2.5 * sigma_mm)) continue;
    const bool better = same == nullptr || old.place.suspect > same->place.suspect ||
                        (old.place.suspect == same->place.suspect && apart_mm < same_mm);
    if (!better) continue;
    same = &old;
    same_mm = apart_mm;
  }
  return same;
}

// A place known from BEFORE, where it was no suspect: one place, not two.
void CallSuspect(const Candidate& candidate, const ComparedPlace& fault, WeighedPlace& known) {
  known.place.suspect = !IsOwnHeat(known.place, fault);
  known.new_in_after = true;
  known.fault_after_prob = candidate.confidence;
}

void Name(std::vector<WeighedPlace>& places) {
  for (std::size_t i = 0; i < places.size(); ++i) {
    places[i].place.name =
        i < 26 ? std::string(1, static_cast<char>('A' + i)) : std::to_string(i + 1);
  }
}

}  // namespace

std::vector<WeighedPlace> WeighPlaces(const Case& before_job,
                                      const Analysis& before,
                                      const Analysis& after,
                                      const PairAlignment& alignment,
                                      double gone_share) {
  const Pair pair(before_job, before, after, alignment, gone_share);
  const double scale_amps_a = before.drive->top_amps_a();
  std::vector<WeighedPlace> places;
  const auto& first = before.result.candidates;
  for (std::size_t i = 0; i < std::min(first.size(), kMostPlaces); ++i) {
    const bool weak = first[i].power_w < kWorthShare * first.front().power_w;
    if (weak && first[i].confidence < kSuspectConfidence) break;
    places.push_back(pair.FromBefore(i, scale_amps_a));
    places.back().place.suspect = first[i].confidence >= kSuspectConfidence;
  }
  const std::size_t old_places = places.size();
  const double mm_after = before.result.mm_per_pixel / alignment.scale;
  for (const Candidate& candidate : after.result.candidates) {
    if (candidate.confidence < kSuspectConfidence) continue;
    WeighedPlace* same = SamePlace({places.data(), old_places}, first, candidate, mm_after);
    if (same != nullptr && (same->place.suspect || same->place.ratio)) {
      if (!same->place.suspect) CallSuspect(candidate, places.front().place, *same);
      continue;
    }
    WeighedPlace found = pair.FromAfter(candidate, scale_amps_a);
    found.place.suspect = old_places == 0 || !IsOwnHeat(found.place, places.front().place);
    places.push_back(std::move(found));
  }
  Name(places);
  return places;
}

}  // namespace ohmglow
