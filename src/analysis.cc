// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "analysis.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "base/median.h"
#include "blurred_view.h"
#include "follow_supply.h"
#include "heat/identifiability.h"
#include "heat/plate.h"
#include "heat/power_map.h"
#include "input/case_remarks.h"
#include "ohmglow/align/photo_alignment.h"
#include "ohmglow/align/registration_verdict.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "rank/advice.h"
#include "rank/advice_view.h"
#include "rank/advice_warm.h"
#include "rank/growth_remark.h"
#include "rank/level_rise.h"
#include "rank/list_fit.h"
#include "rank/places.h"
#include "rank/rank.h"
#include "rank/say_scale.h"
#include "rank/verdict.h"
#include "relative_result.h"
#include "scale_guess.h"
#include "supply_course.h"
#include "surface_map.h"
#include "unseen_steps.h"

namespace ohmglow {
namespace {

// Shares of the work, for the progress callback.
constexpr double kStacked = 0.8;
constexpr double kFitted = 0.9;
// A verdict asks for more than to stand out: nine in ten near faults of 8 times
// their place's limit were found among simulated captures (rank/README.md).
constexpr double kVerdictOfLimit = 8;
constexpr double kDoubted = 0.1;

double MedianRate(const std::vector<double>& times_s) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < times_s.size(); ++i) steps.push_back(times_s[i] - times_s[i - 1]);
  const double step_s = steps.empty() ? 0 : MedianOf(steps);
  return step_s > 0 ? 1 / step_s : 0;
}

Assumption TiedBy(const char* what, double trust) {
  return {"board.points",
          what,
          AssumedHow::kDefault,
          "confidence " + std::to_string(std::lround(100 * trust)) + " %"};
}

// The map's standardised amplitude is smooth as the camera's blur makes it.
PowerMapOptions PowerOptions(const cv::Mat& seen, double false_alarm_prob) {
  constexpr double kFwhmPx = 3;
  constexpr double kSides = 2;
  PowerMapOptions options;
  // A part of about 2 mm over the usual copper, as for the least detectable power.
  options.source_mm = 0.8;
  options.feed.near_share = 0.3;
  options.threshold = NoiseThreshold(cv::countNonZero(seen), kFwhmPx, kSides, false_alarm_prob);
  return options;
}

// Power that a fault must have for a verdict, at a middling place. What was seen
// and doubted might be the fault: no promise that it is not. Without places it is what the
// capture's noise allows.
double FoundFrom(const PowerMap& power, const LocateResult& result) {
  std::vector<float> limits_w;
  for (const float limit_w : power.limit_most_w) {
    if (std::isfinite(limit_w)) limits_w.push_back(limit_w);
  }
  if (limits_w.empty()) return 0;
  double least_w = kVerdictOfLimit * static_cast<double>(MedianOf(limits_w));
  if (result.verdict != Verdict::kNone) return least_w;
  for (const Candidate& candidate : result.candidates) {
    if (candidate.confidence > kDoubted) least_w = std::max(least_w, candidate.power_w);
  }
  return least_w;
}

// What the case says, before anything is computed.
void Describe(const Case& job, LocateResult& result) {
  result.values = job.frames->values();
  result.title = job.title;
  result.case_file = job.file.filename().string();
  result.assumed = job.assumed;
  result.frame_size_px = job.frames->size_px();
  result.rate_hz = MedianRate(job.frame_times_s);
  result.mm_per_pixel = job.mm_per_pixel;
  result.side = job.side;
  result.maps = FitBoardMaps(job.landmarks);  // What is wrong with them is told before the work.
}

// Where the frames lie on the photo and on the board, and how large they show it.
void Tie(const Case& job, const Response& response, LocateResult& result) {
  result.maps = TieToBoard(job, {response.static_k, response.seen});
  if (result.maps.photo_trust) {
    result.assumed.push_back(
        TiedBy("found by the edges of photo and frames", *result.maps.photo_trust));
  }
  if (result.maps.board_trust) {
    result.assumed.push_back(
        TiedBy("board places found by the outlines of board.parts", *result.maps.board_trust));
  }
  result.mm_per_pixel = ScaleOf(job, result.maps, result.frame_size_px);
  SayScaleOf(result);
}

void Rank(const Case& job, const RankOptions& options, const SupplyCourse& course, Analysis& out) {
  LocateResult& result = out.result;
  const auto rank = [&](const Case& given) {
    return RankSources(out.response, *out.model, *out.drive, result.maps, given, options);
  };
  // Volts alone bound no power.
  Ranking ranking = result.currents_known ? rank(job) : rank(WithoutVolts(job));
  Doubt(course.clock_prob, ranking);
  if (!course.shown) JudgeUnseenSteps(ranking, result);
  result.verdict = ranking.verdict;
  result.elsewhere_prob = ranking.elsewhere_prob;
  result.supply_path = ranking.supply_path;
  result.plate = ranking.plate;
  if (Remark doubt = DoubtOfList(ranking.list_fits); !doubt.empty()) {
    result.maps.remarks.push_back(std::move(doubt));
  }
  result.candidates = std::move(ranking.candidates);
}

// What the pictures' range, a guessed scale, bare surfaces or faint levels take from the places.
void DoubtPlaces(const Case& job, const Image& clipped_share, const Image& gain, Analysis& out) {
  LocateResult& result = out.result;
  DoubtClipped(clipped_share, result);
  if (ScaleIsGuess(result.assumed)) DoubtScale(result);
  DoubtEmissivity(job, gain, result);
  for (Candidate& candidate : result.candidates) {
    candidate.levels = MeasureLevelRises(out.response,
                                         *out.model,
                                         *out.drive,
                                         candidate.Peak(),
                                         candidate.current_exponent.value_or(2),
                                         candidate.rise_k);
    SayWhereGrowthCannotBeRead(candidate);
  }
  if (!result.currents_known) ForgetCurrents(result);
}

void MapRise(const Case& job, const Image& gain, const Response& response, LocateResult& result) {
  // The frames are object temperature; the camera's own noise is what comes through of that.
  result.noise_per_frame_k = response.noise_median_k * job.emissivity * job.window_transmission;
  result.noise_response_k = response.noise_rise_k;
  result.reference_k = response.static_k.clone();
  ReadWithRegions(job, gain, result.reference_k);
  result.response_k = response.rise_k;
  result.snr = response.detector.z();
}

void MapWatts(const Case& job, const RankOptions& options, Analysis& out) {
  LocateResult& result = out.result;
  out.power = MakePowerMap(out.response,
                           *out.model,
                           *out.drive,
                           PlateOf(job),
                           result.mm_per_pixel,
                           PowerOptions(out.response.seen, options.false_alarm_prob));
  result.power_w = out.power.sharp_w;
  result.power_sigma_w = out.power.sharp_sigma_w;
  result.limit_w = out.power.limit_most_w;
  result.detectable_w = FoundFrom(out.power, result);
}

// What to do next, then all that was remarked on the way.
void AddAdvice(const Case& job, const RankOptions& options, Analysis& out) {
  LocateResult& result = out.result;
  std::vector<Remark>& advice = result.advice;
  advice = Advise(result,
                  !job.contacts.empty(),
                  JudgeDrive(*out.model, *out.drive, PlateOf(job)).advice,
                  NamesOf(PartsNotInView(job.parts, result)));
  if (Remark lost = RemarkOnRegions(job, result.maps); !lost.empty()) {
    advice.push_back(std::move(lost));
  }
  if (ScaleIsGuess(result.assumed)) advice.push_back(AskForScale(result));
  const double threshold = PlaceThreshold(out.response, options);
  const Remark warm = SayWarmUnlisted(out.response, result, job.parts, threshold);
  if (!warm.empty()) advice.push_back(warm);
  const Alignment& alignment = result.alignment;
  // What makes the answer doubtful is the first to be told.
  std::vector<Remark> of_supply = result.supply_remarks;
  const auto plain = std::stable_partition(of_supply.begin(), of_supply.end(), [](const Remark& r) {
    return NatureOf(r.kind) == RemarkNature::kUndermines;
  });
  advice.insert(advice.begin(), of_supply.begin(), plain);
  advice.insert(advice.end(), plain, of_supply.end());
  if (alignment.remarks.empty() && alignment.median_residual_px > kHoldsPx) {
    advice.push_back(
        Remark(RemarkKind::kFrameMayBeOff).With("error_px", alignment.median_residual_px));
  }
  const BoardMaps& maps = result.maps;
  for (const auto* remarks : {&alignment.remarks, &maps.remarks}) {
    advice.insert(advice.end(), remarks->begin(), remarks->end());
  }
}

// What the ranking needs beside the analysis itself.
struct Measured {
  SupplyCourse course;
  Image clipped_share;
  Image gain;  // Of the rises, by the surfaces' emissivity.
};

// The chain up to its places; of relative frames every kelvin in it is a unit of the frames.
Measured Measure(const Case& job, const LocateOptions& options, Analysis& out) {
  const auto report = [&](double share) {
    if (options.progress) options.progress(share);
  };
  Measured measured;
  Describe(job, out.result);
  Registered registered = Register(job, options, [&](double share) { report(kStacked * share); });
  out.result.alignment = std::move(registered.alignment);
  out.quarters_k = TimeQuarters(registered.stack);
  const cv::Size size_px = registered.stack.size_px();
  measured.course = FollowSupply(job, options, std::move(registered.stack), out);
  report(kFitted);
  Tie(job, out.response, out.result);
  measured.gain = RiseGain(job, out.result.maps, size_px);
  ScaleRises(measured.gain, out.response);
  measured.clipped_share = std::move(registered.clipped_share);
  return measured;
}

Analysis AnalyzeFrames(const Case& job, const LocateOptions& options) {
  Analysis out;
  const Measured measured = Measure(job, options, out);
  Rank(job, options.rank, measured.course, out);
  DoubtPlaces(job, measured.clipped_share, measured.gain, out);
  MapRise(job, measured.gain, out.response, out.result);
  MapWatts(job, options.rank, out);
  DoubtNone(out.result);
  AddAdvice(job, options.rank, out);
  if (options.progress) options.progress(1);
  return out;
}

Analysis AnalyzeHeatOfFrames(const Case& job, const LocateOptions& options) {
  Analysis out;
  const Measured measured = Measure(job, options, out);
  MapRise(job, measured.gain, out.response, out.result);
  MapWatts(job, options.rank, out);
  if (!out.result.currents_known) ForgetCurrents(out.result);
  if (options.progress) options.progress(1);
  return out;
}

// Runs one of the two as the frames' values ask.
template <typename Chain>
Analysis AsFramesAsk(const Case& job, const LocateOptions& options, const Chain& chain) {
  options.Validate();
  if (!job.frames) throw DataError("the case has no frames");
  if (job.frames->values() == FrameValues::kKelvin) return chain(job, options);
  Analysis out = chain(WithoutVolts(job), options);
  ToRelative(out.result);
  return out;
}

}  // namespace

Analysis Analyze(const Case& job, const LocateOptions& options) {
  return AsFramesAsk(job, options, AnalyzeFrames);
}

Analysis AnalyzeHeat(const Case& job, const LocateOptions& options) {
  return AsFramesAsk(job, options, AnalyzeHeatOfFrames);
}

}  // namespace ohmglow
