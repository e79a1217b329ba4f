// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "supply_course.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include "heat/clock.h"
#include "heat/plate.h"
#include "heat/step_discovery.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "rank/growth_remark.h"
#include "rank/supply_budget.h"

namespace ohmglow {
namespace {

Remark NameOfLevel(const Case& job, std::size_t level) {
  return Remark(RemarkKind::kLevel)
      .With("level", static_cast<double>(level + 1))
      .With("amps_a", job.levels[level].amps_a);
}

// Every change was noted with its time: then there is nothing to invent.
bool NotesAllTimes(const std::vector<SetLevel>& levels) {
  return std::all_of(
      levels.begin() + 1, levels.end(), [](const SetLevel& level) { return level.start_s; });
}

void RemarkOnLevels(const Case& job, const LevelTimes& times, LocateResult& result) {
  if (!times.found() && NotesAllTimes(job.levels)) {
    result.supply_remarks.emplace_back(RemarkKind::kLevelsHardlyTold);
    return;
  }
  if (!times.found()) {
    result.supply_remarks.emplace_back(RemarkKind::kLevelsNotSeen);
    result.verdict_reason = Remark(RemarkKind::kSwitchingNotSeen);
    return;
  }
  std::vector<Remark> unseen;
  // The last one may lie behind the film's end, see TimeFilmed().
  for (std::size_t k = 0; k + 1 < job.levels.size(); ++k) {
    if (k < times.starts.size() && times.starts[k].seen) continue;
    unseen.push_back(NameOfLevel(job, k + 1));
  }
  if (unseen.empty()) return;
  result.supply_remarks.push_back(
      Remark(RemarkKind::kLevelWithoutTrace).With("levels", std::move(unseen)));
}

// The steps that the frames show by themselves, of unknown currents.
SupplyCourse TakeSteps(const DiscoveredSteps& steps,
                       const Case& job,
                       const Stack& stack,
                       const HeatOptions& options,
                       LocateResult& result) {
  LevelTimes times = TimeLevels(stack, steps.levels, PlateOf(job), job.mm_per_pixel, options);
  result.currents_known = false;
  result.assumed.push_back(
      {"supply.levels",
       std::to_string(times.starts.size()) + " steps found in the frames alone, currents unknown"});
  return {std::move(times.log), 0, std::move(times.starts), true};
}

// The levels that were filmed: the last one may have been set after the film's end.
LevelTimes TimeFilmed(const Case& job, const Stack& stack, const HeatOptions& options) {
  LevelTimes all = TimeLevels(stack, job.levels, PlateOf(job), job.mm_per_pixel, options);
  if (all.fits() || job.levels.size() < 3) return all;
  const std::vector<SetLevel> fewer(job.levels.begin(), job.levels.end() - 1);
  LevelTimes filmed = TimeLevels(stack, fewer, PlateOf(job), job.mm_per_pixel, options);
  return filmed.fits() ? filmed : all;
}

// Levels noted by hand are found in the frames. Where these show other steps than those, what was
// noted is wrong, not what was filmed.
SupplyCourse TimeNotedLevels(const Case& job,
                             const Stack& stack,
                             const HeatOptions& options,
                             LocateResult& result) {
  LevelTimes times = TimeFilmed(job, stack, options);
  if (!times.fits()) {
    const DiscoveredSteps steps = DiscoverSteps(stack, PlateOf(job), job.mm_per_pixel);
    if (Refutes(steps, times)) {
      result.supply_remarks.emplace_back(RemarkKind::kLevelsDoNotFit);
      return TakeSteps(steps, job, stack, options, result);
    }
  }
  const bool shown = times.found() || NotesAllTimes(job.levels);
  RemarkOnLevels(job, times, result);
  return {std::move(times.log), 0, std::move(times.starts), shown};
}

// Nothing was noted of the supply: what the frames show of its steps, or a refusal.
SupplyCourse FindSteps(const Case& job,
                       const Stack& stack,
                       const HeatOptions& options,
                       LocateResult& result) {
  const DiscoveredSteps steps = DiscoverSteps(stack, PlateOf(job), job.mm_per_pixel);
  if (!steps.certain) {
    throw DataError(
        "the case has no supply log and its frames do not show by themselves when a current was "
        "switched: give --log NAME, or --levels with the currents in order such as \"0 0.5 0\" "
        "([supply] log or levels in the case file)");
  }
  return TakeSteps(steps, job, stack, options, result);
}

}  // namespace

bool SearchesClock(const Case& job, const HeatOptions& options) {
  return job.supply && !job.clock_offset_s && options.clock_range_s > 0;
}

void ForgetCurrents(LocateResult& result) {
  constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
  for (SupplyLevel& level : result.levels) level.amps_a = kUnknown;
  for (Candidate& candidate : result.candidates) {
    DropReadingRemark(candidate);
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
    result.supply_remarks.emplace_back(RemarkKind::kForeignLog);
  }
  return {std::move(timed.log), timed.fit.offset_s, {}, true};
}

void AddStartErrors(const std::vector<LevelStart>& starts, std::vector<SupplyLevel>& levels) {
  constexpr double kSameS = 1e-3;
  for (SupplyLevel& level : levels) {
    for (const LevelStart& start : starts) {
      if (std::abs(start.time_s - level.start_s) < kSameS) level.start_sigma_s = start.sigma_s;
    }
  }
}

void RequireCurrents(const Case& job) {
  if (job.supply || job.levels.size() >= 2) return;
  throw DataError(
      "the case has no supply log: name one as [supply] log, with time_s, volts and amps, or "
      "write the currents that were set, in order, as [supply] levels = 0 0.5 0");
}

void RequireCurrentsFit(const LocateResult& result) {
  if (result.currents_known) return;
  throw DataError(
      "the currents that were given do not fit the frames, which show steps of their own: one may "
      "be mistyped or missing in [supply] levels; correct it, watts cannot be compared without");
}

}  // namespace ohmglow
