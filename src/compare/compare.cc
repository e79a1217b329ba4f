// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/compare/compare.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "analysis.h"
#include "compare/ratio.h"
#include "compare/regions.h"
#include "compare/resistance.h"
#include "compare/strength.h"
#include "compare/verdict.h"
#include "heat/plate.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

constexpr double kSuspectConfidence = 0.5;
constexpr std::size_t kMostPlaces = 8;
// A place of AFTER this close to one of BEFORE is the same.
constexpr double kSamePlaceMm = 2.0;
// Heat that was there before at this share of the fault's or less, and still
// is, is the board's own: contacts, tracks, coils.
constexpr double kOwnHeatShare = 0.3;
constexpr double kJunctionExponent = 1.5;
constexpr double kLandmarkErrorPx = 0.5;
constexpr double kLeastStartErrorPx = 0.3;
constexpr double kIntervalSigmas = 1.96;
constexpr double kUnseenSigma = 9;  // Of a ratio that nobody looked at.

double ExponentOf(const Candidate& candidate) {
  return candidate.current_exponent.value_or(2) < kJunctionExponent ? 1 : 2;
}

double LogSigma(const Candidate& candidate) {
  if (!(candidate.power_low_w > 0 && candidate.power_high_w > candidate.power_low_w)) return 0.5;
  return std::log(candidate.power_high_w / candidate.power_low_w) / (2 * kIntervalSigmas);
}

StaticView ViewOf(const Analysis& analysis) {
  return {analysis.response.static_k, analysis.response.seen};
}

std::optional<PairStart> StartOf(const BoardMaps& before,
                                 const BoardMaps& after,
                                 double mm_before,
                                 double mm_after) {
  if (!before.board_from_frame || !after.board_from_frame) return std::nullopt;
  PairStart start;
  start.after_from_before.matrix =
      after.board_from_frame->Inverse().matrix * before.board_from_frame->matrix;
  start.after_from_before.matrix *= 1 / start.after_from_before.matrix(2, 2);
  const auto error_px = [](const BoardMaps& maps, double mm) {
    return maps.board_error_mm > 0 ? maps.board_error_mm / mm : kLandmarkErrorPx;
  };
  start.error_px = std::max(
      kLeastStartErrorPx,
      std::hypot(error_px(before, mm_before), error_px(after, mm_after) * mm_after / mm_before));
  return start;
}

PairAlignment AlignCases(const Case& before,
                         const Case& after,
                         const StaticView& before_view,
                         const StaticView& after_view,
                         PairAlignOptions options) {
  const auto start = StartOf(FitBoardMaps(before.landmarks),
                             FitBoardMaps(after.landmarks),
                             before.mm_per_pixel,
                             after.mm_per_pixel);
  // A scale that somebody measured narrows the search.
  const auto assumed = [](const Case& job) {
    return std::any_of(job.assumed.begin(), job.assumed.end(), [](const std::string& text) {
      return text.starts_with("board.mm_per_pixel");
    });
  };
  if (!assumed(before) && !assumed(after)) {
    options.expected_scale = before.mm_per_pixel / after.mm_per_pixel;
    options.max_scale = std::min(options.max_scale, 1.25);
  } else {
    // Another camera most likely shows as much of the board.
    options.expected_scale *=
        static_cast<double>(after_view.seen.cols) / std::max(1, before_view.seen.cols);
  }
  return AlignPair(before_view, after_view, start, options);
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
    const int kind = here.BestKind(candidate.frame_px);
    std::vector<Point> rivals;
    for (const Candidate& other : all) {
      if (other.frame_px != candidate.frame_px) rivals.push_back(other.frame_px);
    }
    const double mm = before_.result.mm_per_pixel;
    const double mm_after = mm / alignment_.scale;
    const PlaneMap map =
        backwards ? alignment_.after_from_before.Inverse() : alignment_.after_from_before;
    return FitRatio({here.Map(kind), first.response.seen, backwards ? mm_after : mm},
                    {there.Map(kind), second.response.seen, backwards ? mm : mm_after},
                    map,
                    candidate.frame_px,
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
      place.photo_px = before_.result.maps.photo_from_frame->Apply(place.before_px);
    }
    place.parts = candidate.parts;
    place.after_w = factor * candidate.power_w;
    place.after_low_w = factor * candidate.power_low_w;
    place.after_high_w = factor * candidate.power_high_w;
    out.new_in_after = true;
    out.fault_after_prob = candidate.confidence;
    place.change = PlaceChange::kNew;
    place.change_prob = candidate.confidence;
    const RatioFit back = Ratio(candidate, after_.result.candidates, true);
    if (!back.seen) return out;
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

// AFTER's rise at the common current, in BEFORE's view; NaN where not seen.
Image AfterInBefore(const Analysis& after, const PlaneMap& after_from_before, cv::Size size) {
  constexpr int kBack = cv::INTER_LINEAR | cv::WARP_INVERSE_MAP;
  Image map;
  Mask seen;
  cv::warpPerspective(after.response.rise_k, map, after_from_before.matrix, size, kBack);
  cv::warpPerspective(after.response.seen, seen, after_from_before.matrix, size, kBack);
  map.setTo(std::numeric_limits<float>::quiet_NaN(), seen < 250);
  return map;
}

// Contacts, tracks, coils: there before, weak beside the fault, no stronger now.
bool IsOwnHeat(const ComparedPlace& place, const ComparedPlace& fault) {
  return place.before_w && *place.before_w < kOwnHeatShare * fault.before_w.value_or(0) &&
         (place.change == PlaceChange::kUnchanged || place.change == PlaceChange::kWeaker ||
          place.change == PlaceChange::kGone);
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

std::vector<WeighedPlace> WeighPlaces(const Pair& pair,
                                      const Analysis& before,
                                      const Analysis& after,
                                      const PairAlignment& alignment,
                                      double scale_amps_a) {
  std::vector<WeighedPlace> places;
  const auto& first = before.result.candidates;
  for (std::size_t i = 0; i < std::min(first.size(), kMostPlaces); ++i) {
    places.push_back(pair.FromBefore(i, scale_amps_a));
    places.back().place.suspect = first[i].confidence >= kSuspectConfidence;
  }
  const std::size_t old_places = places.size();
  const double mm_after = before.result.mm_per_pixel / alignment.scale;
  for (const Candidate& candidate : after.result.candidates) {
    if (candidate.confidence < kSuspectConfidence) continue;
    WeighedPlace* same = SamePlace({places.data(), old_places}, first, candidate, mm_after);
    if (same != nullptr && same->place.suspect) continue;
    if (same != nullptr && same->place.ratio) {
      // Known from BEFORE, where it was no suspect: one place, not two.
      same->place.suspect = !IsOwnHeat(same->place, places.front().place);
      same->new_in_after = true;
      same->fault_after_prob = candidate.confidence;
      continue;
    }
    WeighedPlace found = pair.FromAfter(candidate, scale_amps_a);
    found.place.suspect = old_places == 0 || !IsOwnHeat(found.place, places.front().place);
    places.push_back(std::move(found));
  }
  for (std::size_t i = 0; i < places.size(); ++i) {
    places[i].place.name =
        i < 26 ? std::string(1, static_cast<char>('A' + i)) : std::to_string(i + 1);
  }
  return places;
}

void CompareHeat(const Case& before_job,
                 const Analysis& before,
                 const Analysis& after,
                 const CompareOptions& options,
                 CompareResult& out) {
  out.scale_amps_a = before.drive->top_amps_a();
  const Pair pair(before_job, before, after, out.alignment, options.gone_share);
  const std::vector<WeighedPlace> places =
      WeighPlaces(pair, before, after, out.alignment, out.scale_amps_a);
  Blindness blindness;
  blindness.before_showed_none = before.result.verdict == Verdict::kNone;
  blindness.after_amps_a = after.drive->top_amps_a();
  for (const WeighedPlace& weighed : places) {
    if (!weighed.place.suspect || weighed.new_in_after) continue;
    if (!weighed.place.ratio_sigma) blindness.suspect_outside = true;
    blindness.suspect_sigma =
        std::max(blindness.suspect_sigma.value_or(0), weighed.place.ratio_sigma.value_or(9));
  }
  DecideVerdict(places, blindness, out);
  for (const WeighedPlace& weighed : places) out.places.push_back(weighed.place);
  const double scale = out.scale_amps_a / after.drive->top_amps_a();
  out.before_k = before.response.rise_k.clone();
  out.after_k =
      AfterInBefore(after, out.alignment.after_from_before, out.before_k.size()) * (scale * scale);
  out.noise_k = std::max(before.response.noise_rise_k, scale * scale * after.response.noise_rise_k);
}

struct Seen {
  std::vector<Image> quarters_k;
  Mask mask;
};

PlaneMap FrameFromBoard(const BoardMaps& maps) {
  if (!maps.board_from_frame) {
    throw DataError(
        "--regions are in board coordinates: give three or more landmarks with "
        "board_x_mm,board_y_mm in points.csv of the first case");
  }
  return maps.board_from_frame->Inverse();
}

void CompareRegions(const std::vector<Region>& regions,
                    const Case& before,
                    const Seen& first,
                    const Seen& second,
                    CompareResult& out) {
  if (regions.empty()) return;
  const PlaneMap before_from_board = FrameFromBoard(FitBoardMaps(before.landmarks));
  const PlaneMap after_from_board{out.alignment.after_from_before.matrix *
                                  before_from_board.matrix};
  for (const Region& region : regions) {
    out.regions.push_back(
        {region.name,
         MeasureRegion(region, before_from_board, first.quarters_k, first.mask),
         MeasureRegion(region, after_from_board, second.quarters_k, second.mask)});
  }
}

CompareResult OnlyRegions(const Case& before,
                          const Case& after,
                          const std::vector<Region>& regions,
                          const CompareOptions& options) {
  const auto quiet = [](double) {};
  const Registered first = Register(before, options.locate, quiet);
  const Registered second = Register(after, options.locate, quiet);
  const Seen seen_before{TimeQuarters(first.stack), first.stack.seen};
  const Seen seen_after{TimeQuarters(second.stack), second.stack.seen};
  CompareResult out;
  out.before.title = before.title;
  out.before.case_file = before.file.filename().string();
  out.after.title = after.title;
  out.after.case_file = after.file.filename().string();
  out.alignment = AlignCases(before,
                             after,
                             {seen_before.quarters_k.front(), seen_before.mask},
                             {seen_after.quarters_k.front(), seen_after.mask},
                             options.align);
  out.words.emplace_back("Only the regions were compared: a case has no supply log.");
  CompareRegions(regions, before, seen_before, seen_after, out);
  return out;
}

// What is wrong is wrong with one of two captures: say which.
Analysis AnalyzeNamed(const Case& job, const LocateOptions& options, const char* which) {
  try {
    return Analyze(job, options);
  } catch (const DataError& error) {
    throw DataError(std::string("the ") + which + " capture: " + error.what());
  }
}

}  // namespace

void CompareOptions::Validate() const {
  locate.Validate();
  align.Validate();
  if (!(gone_share > 0 && gone_share < 1)) {
    throw OptionError("CompareOptions::gone_share must lie between 0 and 1; it is " +
                      std::to_string(gone_share));
  }
}

CompareResult Compare(const Case& before,
                      const Case& after,
                      const std::vector<Region>& regions,
                      const CompareOptions& options) {
  options.Validate();
  if (!before.frames || !after.frames) throw DataError("a case has no frames");
  if (before.side != after.side) {
    throw DataError(
        "the captures show different sides of the board ([board] side): film the same side again");
  }
  // Before the work begins, not after it.
  if (!regions.empty()) static_cast<void>(FrameFromBoard(FitBoardMaps(before.landmarks)));
  if (!regions.empty() && (!before.supply || !after.supply)) {
    return OnlyRegions(before, after, regions, options);
  }
  LocateOptions locate = options.locate;
  const auto report = options.locate.progress;
  if (report) locate.progress = [&](double share) { report(0.5 * share); };
  Analysis first = AnalyzeNamed(before, locate, "first");
  if (report) locate.progress = [&](double share) { report(0.5 + 0.5 * share); };
  Analysis second = AnalyzeNamed(after, locate, "second");
  CompareResult out;
  out.alignment = AlignCases(before, after, ViewOf(first), ViewOf(second), options.align);
  out.resistance = CompareResistance(before.supply, after.supply);
  CompareHeat(before, first, second, options, out);
  CompareRegions(regions,
                 before,
                 {std::move(first.quarters_k), first.response.seen},
                 {std::move(second.quarters_k), second.response.seen},
                 out);
  out.before = std::move(first.result);
  out.after = std::move(second.result);
  return out;
}

}  // namespace ohmglow
