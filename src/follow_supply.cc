// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "follow_supply.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "heat/clock.h"
#include "heat/plate.h"
#include "input/case_remarks.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say.h"
#include "rank/clock_check.h"
#include "rank/place_courses.h"
#include "rank/places.h"
#include "rank/rank.h"
#include "rank/supply_budget.h"

namespace ohmglow {
namespace {

// Relative power that must change during the frames for anything to be told.
constexpr double kLeastStep = 1e-3;

TimeSpan FilmedTime(const Stack& stack) {
  return {stack.frame_times_s.front().front(), stack.frame_times_s.back().back()};
}

// Bins of larger pictures are not kept for the few captures whose clock is read twice.
bool CanBeMadeAnew(const Case& job, const Stack& stack) {
  constexpr std::size_t kMostKept = std::size_t{64} << 20U;
  const auto num_bins = static_cast<std::size_t>(stack.size());
  return !job.frames->range() &&
         num_bins * static_cast<std::size_t>(stack.size_px().area()) * sizeof(float) > kMostKept;
}

// The shorter side of what is in view; 0 where nothing tells the scale.
double ViewMm(const Case& job, cv::Size size_px) {
  const Assumption* scale = FindAssumed(job.assumed, "board.mm_per_pixel");
  const bool is_told = !scale || scale->how == AssumedHow::kDefault;
  return is_told ? job.mm_per_pixel * std::min(size_px.width, size_px.height) : 0;
}

// Drive, model and response under a course of the current; the bins may go on the way.
void FitHeat(const Case& job,
             const LocateOptions& options,
             bool keep_bins,
             const SupplyCourse& course,
             Stack& stack,
             Analysis& out) {
  out.response = Response();  // An earlier one is as large as the bins.
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
  Eigen::MatrixXf courses = PixelCourses(stack, model);
  if (!keep_bins) KeepStaticBins(stack);
  RemoveCommonOffset(courses, model, *out.drive, stack.seen);
  out.response = FitResponse(std::move(courses),
                             stack,
                             *out.drive,
                             MakeSourceCourses(PlateOf(job)),
                             options.heat,
                             model,
                             ViewMm(job, stack.seen.size()));
  out.model = std::make_unique<const TemporalModel>(std::move(model));
}

bool HasVolts(const std::optional<SupplyLog>& log) {
  return log && std::any_of(log->volts_v.begin(), log->volts_v.end(), [](double v) {
           return std::isfinite(v);
         });
}

// What is not known without volts or currents, said once; empty where both are.
Remark RemarkOnReadings(const Case& job, bool currents_known) {
  if (!currents_known && job.levels.size() > 1) return {};  // They were noted, and do not fit.
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

// The lively places may know a clock better than the quick steps alone; then all is fitted anew.
void CheckClock(const Case& job,
                const LocateOptions& options,
                Stack& stack,
                SupplyCourse& course,
                Analysis& out) {
  LocateResult& result = out.result;
  const ClockHearing hearing = HearClockAgain(job, options, stack, out);
  if (hearing.better_s) {
    out.response = Response();
    if (stack.bins_k.back().empty()) stack = StackOf(job, options, result.alignment);
    TimedLog timed = TimeLogNear(
        stack, *job.supply, PlateOf(job), job.mm_per_pixel, options.heat, *hearing.better_s);
    result.clock_offset_s = timed.fit.offset_s;
    result.clock_offset_sigma_s = timed.fit.sigma_s;
    result.supply_remarks.clear();
    course = {std::move(timed.log), timed.fit.offset_s, {}, true};
    FitHeat(job, options, false, course, stack, out);
  }
  course.clock_prob = 1 - hearing.rival_prob;
  result.clock_offset_sigma_s = std::hypot(*result.clock_offset_sigma_s, hearing.spread_s);
  if (const auto rival = RivalRemark(hearing, *result.clock_offset_s)) {
    result.supply_remarks.push_back(*rival);
  }
}

// Nothing passive has volts below zero at no current: along a path with a junction that is how a
// log looks whose volts and amps are swapped. Along any other one they are proportional, and
// nothing tells them apart.
Remark RemarkOnColumns(const Case& job, const LocateResult& result) {
  constexpr double kSigmas = 4;
  constexpr double kLeastShare = 0.1;  // Of the volts that the ohms take: less is a meter's zero.
  if (!HasVolts(job.supply)) return {};
  double top_a = 0;
  for (const SupplyLevel& level : result.levels) top_a = std::max(top_a, level.amps_a);
  if (top_a <= 0) return {};
  const std::optional<SupplyPath> path = ReadSupplyPath(*job.supply, top_a);
  if (!path) return {};
  const double least_v = std::max(kSigmas * path->drop_sigma_v, kLeastShare * path->ohm * top_a);
  if (path->drop_v + least_v >= 0) return {};
  return Remark(RemarkKind::kColumnsPerhapsSwapped).With("drop_v", path->drop_v);
}

void RemarkOnSupply(const Case& job, LocateResult& result) {
  if (Remark spans = RemarkOnSpans(job); !spans.empty()) {
    result.supply_remarks.insert(result.supply_remarks.begin(), std::move(spans));
  }
  if (Remark columns = RemarkOnColumns(job, result); !columns.empty()) {
    result.supply_remarks.push_back(std::move(columns));
  }
  Remark readings = RemarkOnReadings(job, result.currents_known);
  if (!readings.empty() && result.values == FrameValues::kKelvin) {
    result.supply_remarks.push_back(std::move(readings));
  }
}

}  // namespace

SupplyCourse FollowSupply(const Case& job,
                          const LocateOptions& options,
                          Stack stack,
                          Analysis& out) {
  LocateResult& result = out.result;
  // The clock is read off the quick steps alone, whatever drifts there are.
  SupplyCourse course = MatchClocks(job, stack, options.heat, result);
  const bool check = SearchesClock(job, options.heat);
  FitHeat(job, options, check && !CanBeMadeAnew(job, stack), course, stack, out);
  if (check) CheckClock(job, options, stack, course, out);
  result.levels = out.drive->Levels();
  AddStartErrors(course.starts, result.levels);
  if (!HasVolts(job.supply)) result.most_volts_v = job.most_volts_v;
  RemarkOnSupply(job, result);
  return course;
}

}  // namespace ohmglow
