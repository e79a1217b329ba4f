// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "analysis.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "align/remembered_frames.h"
#include "heat/clock.h"
#include "heat/identifiability.h"
#include "heat/median.h"
#include "heat/plate.h"
#include "heat/power_map.h"
#include "heat/stack.h"
#include "input/case_remarks.h"
#include "ohmglow/align/photo_alignment.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/check/registration_check.h"
#include "ohmglow/words/say.h"
#include "rank/advice.h"
#include "rank/advice_view.h"
#include "rank/advice_warm.h"
#include "rank/clock_check.h"
#include "rank/growth_remark.h"
#include "rank/level_rise.h"
#include "rank/peaks.h"
#include "rank/place_courses.h"
#include "rank/places.h"
#include "rank/rank.h"
#include "rank/verdict.h"
#include "relative_result.h"
#include "scale_guess.h"
#include "supply_course.h"
#include "surface_map.h"
#include "tone/toned_capture.h"
#include "unseen_steps.h"

namespace ohmglow {
namespace {

// Shares of the work, for the progress callback.
constexpr double kAligned = 0.75;  // Of the registered part.
constexpr double kStacked = 0.8;
constexpr double kFitted = 0.9;
// Relative power that must change during the frames for anything to be told.
constexpr double kLeastStep = 1e-3;
// A verdict asks for more than to stand out: nine in ten near faults of 8 times
// their place's limit were found among simulated captures (rank/README.md).
constexpr double kVerdictOfLimit = 8;
constexpr double kDoubted = 0.1;

double MedianRate(const std::vector<double>& times_s) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < times_s.size(); ++i) steps.push_back(times_s[i] - times_s[i - 1]);
  if (steps.empty()) return 0;
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  return *middle > 0 ? 1 / *middle : 0;
}

std::string TiedBy(double trust) {
  return "board.points = found by the edges of photo and frames (confidence " +
         std::to_string(std::lround(100 * trust)) + " %)";
}

std::string ListedBy(double trust) {
  return "board.points = board places found by the outlines of board.parts (confidence " +
         std::to_string(std::lround(100 * trust)) + " %)";
}

TimeSpan FilmedTime(const Stack& stack) {
  return {stack.frame_times_s.front().front(), stack.frame_times_s.back().back()};
}

// Drive, model and response under a course of the current.
void FitHeat(const Case& job,
             const LocateOptions& options,
             const Stack& stack,
             const SupplyCourse& course,
             Analysis& out) {
  out.drive = std::make_unique<const Drive>(course.log, course.offset_s, FilmedTime(stack));
  TemporalModel model = TemporalModel::OffsetAlone(stack);
  const Eigen::VectorXd lagged = model.BinnedLag(*out.drive, 0.5, 2);
  if (lagged.maxCoeff() - lagged.minCoeff() < kLeastStep) {
    const std::string spans = Say(RemarkOnSpans(job));
    throw DataError(
        "the supply log shows no step of the current while the frames were taken; compare the "
        "times of log and frames, or set clock_offset_s in [supply]" +
        (spans.empty() ? spans : ". " + spans));
  }
  PixelRows courses = PixelCourses(stack, model);
  RemoveCommonOffset(courses, model, *out.drive, stack.seen);
  out.response =
      FitResponse(courses, stack, *out.drive, MakeSourceCourses(PlateOf(job)), options.heat, model);
  out.model = std::make_unique<const TemporalModel>(std::move(model));
}

bool HasVolts(const std::optional<SupplyLog>& log) {
  return log && std::any_of(log->volts_v.begin(), log->volts_v.end(), [](double v) {
           return std::isfinite(v);
         });
}

// What is not known without volts or currents, said once; empty where both are.
Remark RemarkOnReadings(const Case& job, bool currents_known) {
  if (!currents_known) return Remark(RemarkKind::kCurrentsNotNoted);
  if (HasVolts(job.supply)) return {};
  if (job.most_volts_v) return Remark(RemarkKind::kOnlyVoltsSetting);
  return Remark(job.supply ? RemarkKind::kLogWithoutVolts : RemarkKind::kVoltsNotNoted);
}

// What the lively places say of the clock that they were found under.
ClockHearing HearClockAgain(const Case& job,
                            const LocateOptions& options,
                            const Stack& stack,
                            const Analysis& present) {
  PlaceCourses courses(
      present.response, *present.model, *present.drive, MakeSourceCourses(PlateOf(job)));
  const std::vector<Peak> places =
      FindPlaces(present.response.detector, PlaceThreshold(present.response, options.rank));
  return HearClock(present.response,
                   places,
                   *job.supply,
                   FilmedTime(stack),
                   *present.result.clock_offset_s,
                   options.heat.clock_range_s,
                   courses);
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
// and doubted might be the fault: no promise that it is not.
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

}  // namespace

Registered Register(const Case& job,
                    const LocateOptions& options,
                    const std::function<void(double)>& report) {
  Registered out;
  AlignOptions align = options.align;
  align.progress = [&](double share) { report(kAligned * share); };
  internal::RememberedFrames remembered(*job.frames);
  FrameSource* frames = &remembered;
  TonedCapture toned;
  if (frames->range()) {
    toned = ToneAndAlign(*frames, align, {});
    frames = toned.frames.get();
    out.alignment = std::move(toned.alignment);
    out.clipped_share = std::move(toned.clipped_share);
  } else {
    out.alignment = Align(*frames, align);
  }
  ScreenTimes(job.frame_times_s, out.alignment.screening);
  out.stack = BuildStack(*frames, job.frame_times_s, out.alignment, options.heat);
  RemoveSensorPattern(out.stack, options.heat);
  report(1);
  return out;
}

std::vector<Image> TimeQuarters(const Stack& stack) {
  constexpr std::size_t kQuarters = 4;
  std::vector<Image> quarters(kQuarters);
  const auto num = static_cast<std::size_t>(stack.size());
  for (std::size_t q = 0; q < kQuarters; ++q) {
    Image sum(stack.size_px(), 0.0F);
    double frames = 0;
    for (std::size_t b = num * q / kQuarters; b < num * (q + 1) / kQuarters; ++b) {
      sum += stack.num_frames[b] * stack.bins_k[b];
      frames += stack.num_frames[b];
    }
    quarters[q] = Image(sum * (1 / std::max(frames, 1.0)));
  }
  return quarters;
}

namespace {

// The chain itself; of relative frames every kelvin in it is a unit of the frames.
Analysis AnalyzeFrames(const Case& job, const LocateOptions& options) {
  const auto report = [&](double share) {
    if (options.progress) options.progress(share);
  };
  Analysis out;
  LocateResult& result = out.result;
  result.values = job.frames->values();
  result.title = job.title;
  result.case_file = job.file.filename().string();
  result.assumed = job.assumed;
  result.frame_size_px = job.frames->size_px();
  result.rate_hz = MedianRate(job.frame_times_s);
  result.mm_per_pixel = job.mm_per_pixel;
  result.side = job.side;
  result.maps = FitBoardMaps(job.landmarks);  // What is wrong with them is told before the work.

  Registered registered = Register(job, options, [&](double share) { report(kStacked * share); });
  result.alignment = std::move(registered.alignment);
  const Stack stack = std::move(registered.stack);
  const Image clipped_share = std::move(registered.clipped_share);
  out.quarters_k = TimeQuarters(stack);

  // The clock is read off the quick steps alone, whatever drifts there are.
  SupplyCourse course = MatchClocks(job, stack, options.heat, result);
  FitHeat(job, options, stack, course, out);
  double clock_prob = 1;
  if (SearchesClock(job, options.heat)) {
    const ClockHearing hearing = HearClockAgain(job, options, stack, out);
    if (hearing.better_s) {
      TimedLog timed = TimeLogNear(
          stack, *job.supply, PlateOf(job), job.mm_per_pixel, options.heat, *hearing.better_s);
      result.clock_offset_s = timed.fit.offset_s;
      result.clock_offset_sigma_s = timed.fit.sigma_s;
      result.supply_remarks.clear();
      course = {std::move(timed.log), timed.fit.offset_s, {}, true};
      FitHeat(job, options, stack, course, out);
    }
    result.clock_offset_sigma_s = std::hypot(*result.clock_offset_sigma_s, hearing.spread_s);
    clock_prob = 1 - hearing.rival_prob;
    if (const auto rival = RivalRemark(hearing, *result.clock_offset_s)) {
      result.supply_remarks.push_back(*rival);
    }
  }
  const Drive& drive = *out.drive;
  const TemporalModel& model = *out.model;
  result.levels = drive.Levels();
  AddStartErrors(course.starts, result.levels);
  if (!HasVolts(job.supply)) result.most_volts_v = job.most_volts_v;
  report(kFitted);

  result.maps = TieToBoard(job, {out.response.static_k, out.response.seen});
  if (result.maps.photo_trust) result.assumed.push_back(TiedBy(*result.maps.photo_trust));
  if (result.maps.board_trust) result.assumed.push_back(ListedBy(*result.maps.board_trust));

  result.mm_per_pixel = ScaleOf(job, result);
  const Image gain = RiseGain(job, result.maps, stack.size_px());
  ScaleRises(gain, out.response);
  const Response& response = out.response;
  Ranking ranking = RankSources(response, model, drive, result.maps, job, options.rank);
  Doubt(clock_prob, ranking);
  if (!course.shown) JudgeUnseenSteps(ranking, result);
  result.verdict = ranking.verdict;
  result.elsewhere_prob = ranking.elsewhere_prob;
  result.supply_path = ranking.supply_path;
  if (Remark spans = RemarkOnSpans(job); !spans.empty()) {
    result.supply_remarks.insert(result.supply_remarks.begin(), std::move(spans));
  }
  Remark readings = RemarkOnReadings(job, result.currents_known);
  if (!readings.empty() && result.values == FrameValues::kKelvin) {
    result.supply_remarks.push_back(std::move(readings));
  }
  result.plate = ranking.plate;
  result.candidates = std::move(ranking.candidates);
  DoubtClipped(clipped_share, result);
  if (ScaleIsGuess(result.assumed)) DoubtScale(result);
  DoubtEmissivity(job, gain, result);
  for (Candidate& candidate : result.candidates) {
    candidate.levels = MeasureLevelRises(response,
                                         model,
                                         drive,
                                         candidate.Peak(),
                                         candidate.current_exponent.value_or(2),
                                         candidate.rise_k);
    SayWhereGrowthCannotBeRead(candidate);
  }
  if (!result.currents_known) ForgetCurrents(result);
  // The frames are object temperature; the camera's own noise is what comes through of that.
  result.noise_per_frame_k = response.noise_median_k * job.emissivity * job.window_transmission;
  result.noise_response_k = response.noise_rise_k;
  result.reference_k = response.static_k.clone();
  ReadWithRegions(job, gain, result.reference_k);
  result.response_k = response.rise_k;
  result.snr = response.detector.z();
  out.power = MakePowerMap(response,
                           model,
                           drive,
                           PlateOf(job),
                           result.mm_per_pixel,
                           PowerOptions(response.seen, options.rank.false_alarm_prob));
  result.power_w = out.power.sharp_w;
  result.power_sigma_w = out.power.sharp_sigma_w;
  result.limit_w = out.power.limit_most_w;
  result.detectable_w = FoundFrom(out.power, result);
  result.advice = Advise(result,
                         !job.contacts.empty(),
                         JudgeDrive(model, drive, PlateOf(job)).advice,
                         NamesOf(PartsNotInView(job.parts, result)));
  if (std::string lost = RemarkOnRegions(job, result.maps); !lost.empty()) {
    result.advice.push_back(std::move(lost));
  }
  if (ScaleIsGuess(result.assumed)) result.advice.push_back(AskForScale(result));
  const Remark warm =
      SayWarmUnlisted(response, result, job.parts, PlaceThreshold(response, options.rank));
  if (!warm.empty()) result.advice.push_back(warm);
  result.advice.insert(
      result.advice.end(), result.supply_remarks.begin(), result.supply_remarks.end());
  if (result.alignment.remarks.empty() && result.alignment.median_residual_px > kHoldsPx) {
    result.advice.push_back(
        Remark(RemarkKind::kFrameMayBeOff).With("error_px", result.alignment.median_residual_px));
  }
  for (const auto* remarks : {&result.alignment.remarks, &result.maps.remarks}) {
    result.advice.insert(result.advice.end(), remarks->begin(), remarks->end());
  }
  report(1);
  return out;
}

}  // namespace

Analysis Analyze(const Case& job, const LocateOptions& options) {
  options.Validate();
  if (!job.frames) throw DataError("the case has no frames");
  if (job.frames->values() == FrameValues::kKelvin) return AnalyzeFrames(job, options);
  Analysis out = AnalyzeFrames(WithoutVolts(job), options);
  ToRelative(out.result);
  return out;
}

}  // namespace ohmglow
