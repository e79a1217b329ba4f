// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "analysis.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "align/remembered_frames.h"
#include "heat/clock.h"
#include "heat/identifiability.h"
#include "heat/level_times.h"
#include "heat/median.h"
#include "heat/plate.h"
#include "heat/power_map.h"
#include "heat/stack.h"
#include "heat/step_discovery.h"
#include "input/case_remarks.h"
#include "ohmglow/align/photo_alignment.h"
#include "ohmglow/base/error.h"
#include "ohmglow/check/registration_check.h"
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
#include "rank/supply_budget.h"
#include "relative_result.h"
#include "tone/toned_capture.h"

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

// Millimetres of a pixel in the middle of the view; where nothing told them, those of the parts
// list that was laid there.
double ScaleOf(const Case& job, LocateResult& result) {
  const bool told = std::none_of(job.assumed.begin(), job.assumed.end(), [](const auto& line) {
    return line.starts_with("board.mm_per_pixel = ");
  });
  if (told) return job.mm_per_pixel;
  if (result.maps.board_trust) {
    const Point middle(0.5 * (result.frame_size_px.width - 1),
                       0.5 * (result.frame_size_px.height - 1));
    const double mm =
        std::sqrt(std::abs(cv::determinant(result.maps.board_from_frame->Jacobian(middle))));
    char text[60];
    std::snprintf(text, sizeof text, "%.4g mm (from board.parts)", mm);
    SetAssumedScale(text, result.assumed);
    return mm;
  }
  if (!result.maps.board_from_frame) {
    const std::string line = AssumedScale(job.mm_per_pixel, false);
    SetAssumedScale(line.substr(line.find("= ") + 2), result.assumed);
  }
  return job.mm_per_pixel;
}

// Watts go about with the square of the scale, and a guess of it may be wrong by so much.
constexpr double kGuessFactor = 1.5;

void DoubtScale(LocateResult& result) {
  const double own = 2 * std::log(kGuessFactor);
  for (Candidate& candidate : result.candidates) {
    double& low_w = candidate.power_low_w;
    double& high_w = candidate.power_high_w;
    const double watts = candidate.power_w;
    if (!(low_w > 0 && watts >= low_w && high_w >= watts)) continue;
    low_w = watts * std::exp(-std::hypot(std::log(watts / low_w), own));
    high_w = watts * std::exp(std::hypot(std::log(high_w / watts), own));
  }
}

std::string AskForScale(const LocateResult& result) {
  char text[240];
  std::snprintf(text,
                sizeof text,
                "The scale is a guess (%.4g mm a pixel)%s: give board.mm_per_pixel, the width of "
                "what is in view in mm divided by its width in pixels.",
                result.mm_per_pixel,
                result.values == FrameValues::kKelvin ? ", and watts depend on it" : "");
  return text;
}

bool SearchesClock(const Case& job, const HeatOptions& options) {
  return job.supply && !job.clock_offset_s && options.clock_range_s > 0;
}

// What the supply did, on a clock that the frames' follow.
struct SupplyCourse {
  SupplyLog log;
  double offset_s = 0;             ///< Log time + this = frame time.
  std::vector<LevelStart> starts;  ///< Of levels that were noted by hand, as the frames have them.
  bool shown = true;               ///< The frames show what the log says of them, as far as known.
};

// "level 3 (0.5 A)"
std::string NameOfLevel(const Case& job, std::size_t level) {
  char text[80];
  std::snprintf(text, sizeof text, "level %zu (%.3g A)", level + 1, job.levels[level].amps_a);
  return text;
}

// Every change was noted with its time: then there is nothing to invent.
bool NotesAllTimes(const std::vector<SetLevel>& levels) {
  return std::all_of(
      levels.begin() + 1, levels.end(), [](const SetLevel& level) { return level.start_s; });
}

void RemarkOnLevels(const Case& job, const LevelTimes& times, LocateResult& result) {
  if (!times.found() && NotesAllTimes(job.levels)) {
    result.supply_remarks.emplace_back(
        "The frames hardly tell when the levels changed: the noted times stand nearly as they "
        "are.");
    return;
  }
  if (!times.found()) {
    result.supply_remarks.emplace_back(
        "Nothing in the frames clearly warms and cools in the levels' steps: their times are "
        "guesses, and no place is called a fault. Log the supply, or note when each level was "
        "set.");
    result.verdict_reason =
        "Could not see when the supply was switched: log it, or note about when each level was "
        "set (as 0.5@12), or film again with more current.";
    return;
  }
  std::string unseen;
  for (std::size_t k = 0; k < times.starts.size(); ++k) {
    if (times.starts[k].seen) continue;
    unseen += (unseen.empty() ? "" : ", ") + NameOfLevel(job, k + 1);
  }
  if (unseen.empty()) return;
  result.supply_remarks.push_back("The change to " + unseen +
                                  " leaves no trace in the frames: when it was is a guess.");
}

// Levels noted by hand are found in the frames.
SupplyCourse TimeNotedLevels(const Case& job,
                             const Stack& stack,
                             const HeatOptions& options,
                             LocateResult& result) {
  LevelTimes times = TimeLevels(stack, job.levels, PlateOf(job), job.mm_per_pixel, options);
  RemarkOnLevels(job, times, result);
  const bool shown = times.found() || NotesAllTimes(job.levels);
  return {std::move(times.log), 0, std::move(times.starts), shown};
}

// Nothing was noted of the supply: what the frames show of its steps, or a refusal.
SupplyCourse FindSteps(const Case& job,
                       const Stack& stack,
                       const HeatOptions& options,
                       LocateResult& result) {
  const DiscoveredSteps found = DiscoverSteps(stack, PlateOf(job), job.mm_per_pixel);
  if (!found.certain) {
    throw DataError(
        "the case has no supply log and its frames do not show by themselves when a current was "
        "switched: give --log NAME, or --levels with the currents in order such as \"0 0.5 0\" "
        "([supply] log or levels in the case file)");
  }
  LevelTimes times = TimeLevels(stack, found.levels, PlateOf(job), job.mm_per_pixel, options);
  result.currents_known = false;
  result.assumed.push_back("supply.levels = " + std::to_string(times.starts.size()) +
                           " steps found in the frames alone, currents unknown");
  return {std::move(times.log), 0, std::move(times.starts), true};
}

// Without currents there is nothing that is read off them; the steps' heights were taken from the
// heat itself.
void ForgetCurrents(LocateResult& result) {
  constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
  for (SupplyLevel& level : result.levels) level.amps_a = kUnknown;
  for (Candidate& candidate : result.candidates) {
    std::erase(candidate.remarks, ReadingRemark(candidate));
    candidate.current_exponent.reset();
    candidate.current_exponent_sigma.reset();
    candidate.share_of_supply.reset();
    candidate.resistance_ohm.reset();
    candidate.drop_v.reset();
    candidate.levels.clear();
    candidate.growth.clear();
    DropGrowthRemark(candidate);
  }
}

// The log as the frames' clock needs it: the offset as given, or none where none
// may be searched for, or both the offset and the steps from the frames.
SupplyCourse MatchClocks(const Case& job,
                         const Stack& stack,
                         const HeatOptions& options,
                         LocateResult& result) {
  if (!job.supply && job.levels.size() < 2) return FindSteps(job, stack, options, result);
  if (!job.supply) return TimeNotedLevels(job, stack, options, result);
  if (!SearchesClock(job, options)) {
    result.clock_offset_s = job.clock_offset_s.value_or(0);
    return {*job.supply, *result.clock_offset_s, {}, true};
  }
  TimedLog timed = TimeLog(stack, *job.supply, PlateOf(job), job.mm_per_pixel, options);
  result.clock_offset_s = timed.fit.offset_s;
  result.clock_offset_sigma_s = timed.fit.sigma_s;
  if (timed.fit.foreign) {
    result.supply_remarks.emplace_back(
        "The steps of the supply log explain little of what warms and cools suddenly in the "
        "frames: it may belong to another capture. Check that log and frames were taken together.");
  }
  return {std::move(timed.log), timed.fit.offset_s, {}, true};
}

// Standard errors of the levels' starts, where the frames alone tell them.
void AddStartErrors(const std::vector<LevelStart>& starts, std::vector<SupplyLevel>& levels) {
  constexpr double kSameS = 1e-3;
  for (SupplyLevel& level : levels) {
    for (const LevelStart& start : starts) {
      if (std::abs(start.time_s - level.start_s) < kSameS) level.start_sigma_s = start.sigma_s;
    }
  }
}

// Where the steps' times were fitted to noise, whatever follows them may be noise too.
void DoubtAll(Ranking& ranking) {
  constexpr double kMost = 0.3;
  double sum = 0;
  for (Candidate& candidate : ranking.candidates) {
    candidate.confidence = std::min(candidate.confidence, kMost);
    candidate.resistance_ohm.reset();
    candidate.drop_v.reset();
    sum += candidate.confidence;
  }
  ranking.elsewhere_prob = std::max(ranking.elsewhere_prob, 1 - sum);
  ranking.verdict = Verdict::kNone;
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
    const std::string spans = RemarkOnSpans(job);
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

// What is not known without volts, said once.
std::string RemarkOnVolts(const Case& job) {
  if (HasVolts(job.supply)) return {};
  if (job.most_volts_v) {
    return "Of the volts only the supply's setting is known: no place takes more than that "
           "allows; what share it takes, and whether a junction lies on the way, is not known.";
  }
  return std::string(job.supply ? "The log has no volts" : "The supply's volts were not noted") +
         ": what share of the supply's power a place takes, and whether a junction lies on the "
         "way, is not known.";
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

std::string Doubtful(double error_px) {
  char text[160];
  std::snprintf(text,
                sizeof text,
                "A frame may be off by %.2f px: weak places at edges are doubtful; see 'ohmglow "
                "align'.",
                error_px);
  return text;
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
    const std::string rival = RivalRemark(hearing, *result.clock_offset_s);
    if (!rival.empty()) result.supply_remarks.push_back(rival);
  }
  const Drive& drive = *out.drive;
  const TemporalModel& model = *out.model;
  result.levels = drive.Levels();
  AddStartErrors(course.starts, result.levels);
  if (!HasVolts(job.supply)) result.most_volts_v = job.most_volts_v;
  const Response& response = out.response;
  report(kFitted);

  result.maps = TieToBoard(job, {response.static_k, response.seen});
  if (result.maps.photo_trust) result.assumed.push_back(TiedBy(*result.maps.photo_trust));
  if (result.maps.board_trust) result.assumed.push_back(ListedBy(*result.maps.board_trust));

  result.mm_per_pixel = ScaleOf(job, result);
  Ranking ranking = RankSources(response, model, drive, result.maps, job, options.rank);
  if (!course.shown) DoubtAll(ranking);
  result.verdict = ranking.verdict;
  result.elsewhere_prob = ranking.elsewhere_prob;
  result.supply_path = ranking.supply_path;
  if (std::string spans = RemarkOnSpans(job); !spans.empty()) {
    result.supply_remarks.insert(result.supply_remarks.begin(), std::move(spans));
  }
  std::string remark = result.currents_known
                           ? RemarkOnVolts(job)
                           : "Which currents flowed was not noted: log the supply, or give the "
                             "currents in order, to learn how heat grows with them.";
  if (!remark.empty() && result.values == FrameValues::kKelvin) {
    result.supply_remarks.push_back(std::move(remark));
  }
  result.plate = ranking.plate;
  result.candidates = std::move(ranking.candidates);
  DoubtClipped(clipped_share, result);
  if (ScaleIsGuess(result.assumed)) DoubtScale(result);
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
  result.reference_k = response.static_k;
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
  if (ScaleIsGuess(result.assumed)) result.advice.push_back(AskForScale(result));
  const std::string warm =
      SayWarmUnlisted(response, result, job.parts, PlaceThreshold(response, options.rank));
  if (!warm.empty()) result.advice.push_back(warm);
  result.advice.insert(
      result.advice.end(), result.supply_remarks.begin(), result.supply_remarks.end());
  if (result.alignment.remarks.empty() && result.alignment.median_residual_px > kHoldsPx) {
    result.advice.push_back(Doubtful(result.alignment.median_residual_px));
  }
  for (const auto* remarks : {&result.alignment.remarks, &result.maps.remarks}) {
    result.advice.insert(result.advice.end(), remarks->begin(), remarks->end());
  }
  report(1);
  return out;
}

}  // namespace

void RequireCurrents(const Case& job) {
  if (job.supply || job.levels.size() >= 2) return;
  throw DataError(
      "the case has no supply log: name one as [supply] log, with time_s, volts and amps, or "
      "write the currents that were set, in order, as [supply] levels = 0 0.5 0");
}

Analysis Analyze(const Case& job, const LocateOptions& options) {
  options.Validate();
  if (!job.frames) throw DataError("the case has no frames");
  if (job.frames->values() == FrameValues::kKelvin) return AnalyzeFrames(job, options);
  Analysis out = AnalyzeFrames(WithoutVolts(job), options);
  ToRelative(out.result);
  return out;
}

}  // namespace ohmglow
